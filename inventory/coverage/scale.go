package coverage

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// Scale is the N of 1:N, above 0: lengths go by 1/N, areas by 1/N^2, volumes by 1/N^3.
type Scale float64

// EyeHeight is the height of the eyes over stature, 0.93 (ANSUR 1988 men:
// 1634/1756 = 0.9305, from memory; "Putting scale in perspective", cheddarmongers.org).
const EyeHeight = 0.93

// ModelArea is the area in cm2 on the model of areaM2 m2 in life.
func (n Scale) ModelArea(areaM2 float64) float64 { return areaM2 * 1e4 / float64(n*n) }

// ModelLength is the length in mm on the model of cm in life.
func (n Scale) ModelLength(cm float64) float64 { return cm * 10 / float64(n) }

// EyeScale is the scale of figures that measure mm from sole to eye (5 to 300
// mm) and stand for a person of statureCM (50 to 250 cm).
func EyeScale(mm, statureCM float64) (Scale, error) {
	if err := firstError(within("height to the eyes", mm, 5, 300, "mm"),
		within("stature", statureCM, 50, 250, "cm")); err != nil {
		return 0, err
	}
	return Scale(EyeHeight * statureCM * 10 / mm), nil
}

// TopScale is the scale of figures that measure mm from sole to crown.
// Ranges as for [EyeScale].
func TopScale(mm, statureCM float64) (Scale, error) {
	if err := firstError(within("height", mm, 5, 300, "mm"), within("stature", statureCM, 50, 250, "cm")); err != nil {
		return 0, err
	}
	return Scale(statureCM * 10 / mm), nil
}

// Compiled when first needed: most runs of the program read no scale.
var (
	ratioScale = compiled(`^1\s*[:/]\s*([0-9]+(?:\.[0-9]+)?)$`)
	mmScale    = compiled(`^([0-9]+(?:\.[0-9]+)?)\s*mm(?:\s+to\s+(?:the\s+)?(eye|eyes|top|crown))?$`)
)

func compiled(pattern string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(pattern) })
}

// ParseScale reads "1:56", "1/72", "28 mm to eye" or "28 mm to top" for a person
// of statureCM (cm). "28 mm" alone is to the eyes, the commoner of two conventions
// in use (theminiaturespage.com glossary). 1:N takes N from 1 to 1000.
func ParseScale(text string, statureCM float64) (Scale, error) {
	s := strings.ToLower(strings.TrimSpace(text))
	if m := ratioScale().FindStringSubmatch(s); m != nil {
		n, err := strconv.ParseFloat(m[1], 64)
		if err == nil && n >= 1 && n <= 1000 {
			return Scale(n), nil
		}
	}
	if m := mmScale().FindStringSubmatch(s); m != nil {
		mm, err := strconv.ParseFloat(m[1], 64)
		if err != nil || math.IsInf(mm, 0) {
			return 0, &UnknownError{"scale", text, `"1:56", "28 mm to eye" or "28 mm to top"`}
		}
		if m[2] == "top" || m[2] == "crown" {
			return TopScale(mm, statureCM)
		}
		return EyeScale(mm, statureCM)
	}
	return 0, &UnknownError{"scale", text, `"1:56", "28 mm to eye" or "28 mm to top"`}
}

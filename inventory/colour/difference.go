package colour

import "math"

// Difference is the CIEDE2000 colour difference of two sRGB colours; see [DeltaE].
func Difference(a, b SRGB) float64 { return DeltaE(a.Lab(), b.Lab()) }

// DeltaE is the CIEDE2000 colour difference with kL = kC = kH = 1: 0 for equal
// colours, about 1 just visible, 100 from black to white. It is symmetric.
// Source: Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula:
// implementation notes, supplementary test data, and mathematical
// observations", Color Research and Application 30(1), 2005, 21-30.
func DeltaE(p, q Lab) float64 {
	const pow25to7 = 6103515625.0
	meanC := (math.Hypot(p.A, p.B) + math.Hypot(q.A, q.B)) / 2
	c7 := math.Pow(meanC, 7)
	g := 0.5 * (1 - math.Sqrt(c7/(c7+pow25to7)))
	a1, a2 := (1+g)*p.A, (1+g)*q.A
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hue(a1, p.B), hue(a2, q.B)

	dL, dC := q.L-p.L, c2-c1
	var dh float64
	if c1*c2 != 0 {
		switch dh = h2 - h1; {
		case dh > 180:
			dh -= 360
		case dh < -180:
			dh += 360
		}
	}
	dH := 2 * math.Sqrt(c1*c2) * sin(dh/2)

	meanL, meanCp := (p.L+q.L)/2, (c1+c2)/2
	meanH := h1 + h2
	if c1*c2 != 0 {
		switch {
		case math.Abs(h1-h2) <= 180:
			meanH /= 2
		case h1+h2 < 360:
			meanH = (h1 + h2 + 360) / 2
		default:
			meanH = (h1 + h2 - 360) / 2
		}
	}
	t := 1 - 0.17*cos(meanH-30) + 0.24*cos(2*meanH) + 0.32*cos(3*meanH+6) - 0.20*cos(4*meanH-63)
	dTheta := 30 * math.Exp(-math.Pow((meanH-275)/25, 2))
	cp7 := math.Pow(meanCp, 7)
	rC := 2 * math.Sqrt(cp7/(cp7+pow25to7))
	l50 := (meanL - 50) * (meanL - 50)
	sL := 1 + 0.015*l50/math.Sqrt(20+l50)
	sC, sH := 1+0.045*meanCp, 1+0.015*meanCp*t
	rT := -sin(2*dTheta) * rC

	l, c, h := dL/sL, dC/sC, dH/sH
	return math.Sqrt(math.Max(0, l*l+c*c+h*h+rT*c*h))
}

func hue(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func sin(deg float64) float64 { return math.Sin(deg * math.Pi / 180) }
func cos(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }

// Band says in a word how far apart two colours are.
type Band string

// Bands of CIEDE2000 differences for planning. Assumption, drawn from published
// thresholds: perceptible 0.8 and acceptable 1.8 (Paravina et al. 2015, from
// memory), two colours above 5 in CIE 1976 units (Mokrzycki and Tatol 2011).
const (
	Same      Band = "same"      // at most 1: nobody sees it on a figure
	Close     Band = "close"     // at most 2: seen side by side
	Similar   Band = "similar"   // at most 5: passes on separate figures
	Different Band = "different" // above 5: another colour
)

// BandOf gives the band of a CIEDE2000 difference (0 or more).
func BandOf(dE float64) Band {
	switch {
	case dE <= 1:
		return Same
	case dE <= 2:
		return Close
	case dE <= 5:
		return Similar
	}
	return Different
}

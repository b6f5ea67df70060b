package inventory

import "strings"

// MaxID is the longest id, in bytes.
const MaxID = 80

// ValidID reports whether s is a slug: 1 to MaxID lower-case letters, digits
// and single hyphens, with a letter or digit at both ends.
func ValidID(s string) bool {
	if s == "" || len(s) > MaxID || s[0] == '-' || s[len(s)-1] == '-' || strings.Contains(s, "--") {
		return false
	}
	for i := range len(s) {
		if c := s[i]; c != '-' && (c < 'a' || c > 'z') && (c < '0' || c > '9') {
			return false
		}
	}
	return true
}

// Slug makes an id of a name: "Bone Tone (17 ml)" becomes "bone-tone-17-ml".
// It returns "" for a name without a single letter or digit it can use.
func Slug(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range strings.ToLower(name) {
		if (r >= 'a' && r <= 'z') || (r >= '0' && r <= '9') {
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			b.WriteRune(r)
		} else {
			gap = true
		}
		if b.Len() >= MaxID {
			break
		}
	}
	return strings.TrimRight(b.String()[:min(b.Len(), MaxID)], "-")
}

package inventory

import (
	"encoding/hex"
	"fmt"
	"strings"
)

// Colour is a colour in sRGB (IEC 61966-2-1), 8 bits a channel.
type Colour struct{ R, G, B uint8 }

// ParseColour reads "#c8b89a" or "c8b89a".
func ParseColour(s string) (Colour, error) {
	t := strings.TrimPrefix(strings.TrimSpace(s), "#")
	b, err := hex.DecodeString(t)
	if err != nil || len(b) != 3 {
		return Colour{}, fmt.Errorf("colour %q: expected six hexadecimal digits of sRGB, like #c8b89a", s)
	}
	return Colour{b[0], b[1], b[2]}, nil
}

// String writes "#c8b89a".
func (c Colour) String() string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

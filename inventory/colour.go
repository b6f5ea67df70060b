package inventory

import "halfpot/inventory/colour"

// Colour is a colour in sRGB (IEC 61966-2-1), 8 bits a channel.
type Colour = colour.SRGB

// ParseColour reads "#c8b89a" or "c8b89a", or CIELAB under D65 as "lab 52.3 -4.1 20".
func ParseColour(s string) (Colour, error) { return colour.Parse(s) }

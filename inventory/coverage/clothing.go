package coverage

// ClothingEquation is a published relation between the insulation of clothing
// and its outer area.
type ClothingEquation string

const (
	// Linear028 is f = 1 + 0.28 clo, the relation given with ISO 9920; the
	// default, because on the ten ensembles measured by McCullough and Jones 1984
	// its mean error is 0.041 against 0.114 for ISO 7730.
	Linear028 ClothingEquation = "linear-0.28"
	// ISO7730 is f = 1 + 1.29 I up to 0.078 m2K/W, 1.05 + 0.645 I above.
	ISO7730 ClothingEquation = "iso-7730"
)

// CloM2KW is one clo in m2K/W.
const CloM2KW = 0.155

// ClothingFactor is the outer area of clothed over bare body for an insulation
// of clo (0 to 4; 1 clo = 0.155 m2K/W). An empty equation is 1 + 0.28 clo. The
// factor is that of the outline: it leaves out folds, straps and kit. Both
// equations hold to about 1.5 clo and overestimate above 2 (Kuklane and Toma 2021).
func ClothingFactor(eq ClothingEquation, clo float64) (float64, error) {
	if err := within("clothing", clo, 0, 4, "clo"); err != nil {
		return 0, err
	}
	switch eq {
	case Linear028, "":
		return 1 + 0.28*clo, nil
	case ISO7730:
		if i := clo * CloM2KW; i > 0.078 {
			return 1.05 + 0.645*i, nil
		}
		return 1 + 1.29*clo*CloM2KW, nil
	}
	return 0, &UnknownError{"clothing equation", string(eq), "linear-0.28 or iso-7730"}
}

// clothingRange is a clothing factor with the range its sources leave: ISO 7730
// lies lowest, the older 1 + 0.31 clo (McCullough and Jones 1984, from memory)
// highest of the relations in use.
func clothingRange(clo, value float64) (Default, error) {
	low, err := ClothingFactor(ISO7730, clo)
	return Default{Value: value, Low: min(low, value), High: max(1+0.31*clo, value), Origin: Published,
		Source: "clothing area factor; ISO 7730 and 1 + 0.31 clo differ that much"}, err
}

// Kit, proportion and hidden-area factors. All are assumptions.
var (
	KitLight = bracket{1.10, 1.05, 1.20}.assumed("", "light kit: little more than clothes")
	KitUsual = bracket{1.30, 1.10, 1.60}.assumed("", "usual kit: weapon, helmet, webbing, folds")
	KitHeavy = bracket{1.60, 1.30, 2.00}.assumed("", "heavy kit or armour")
	TrueForm = exactly(1, "", Given, "true proportions")
	Heroic   = bracket{1.15, 1.10, 1.20}.assumed("", "heroic proportions: large heads and hands, thick weapons")
	// Reached is the share of the surface a brush gets to: 5 to 15 % is never seen.
	Reached = bracket{0.90, 0.85, 0.95}.assumed("", "5 to 15 % of the surface is hidden and stays unpainted")
	// MakerSpread is how far makers' figures of one nominal size differ in area:
	// linear deviations reach a third (liquisearch.com miniature scales); one
	// figure line is taken to lie within a tenth in length, a fifth in area.
	MakerSpread = bracket{1, 0.80, 1.25}.assumed("", "figures of one nominal size differ between makers")
)

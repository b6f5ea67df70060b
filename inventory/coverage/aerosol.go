package coverage

// Densities at 20 C in g/ml of what fills a spray can (handbook values from
// memory; the concentrate is an assumption).
const (
	DimethylEther      = 0.667
	PropaneButane      = 0.54
	AerosolConcentrate = 0.95
)

// AerosolPaintMass is the usual mass fraction of paint in a can, 75 to 25 of
// propellant (kta.com/aerosol-paint-technology-and-testing); 77 to 23 is found too.
const AerosolPaintMass = 0.75

// AerosolPaintShare is the volume fraction of a can's liquid that is paint, for
// a paint mass fraction (above 0, at most 1) and the densities in g/ml (0.3 to 3)
// of concentrate and propellant: (w/rp) / (w/rp + (1-w)/rg).
func AerosolPaintShare(massFraction, paintDensity, propellantDensity float64) (float64, error) {
	if err := firstError(aboveZero("mass fraction of paint", massFraction, 1, ""),
		within("density of the paint", paintDensity, 0.3, 3, "g/ml"),
		within("density of the propellant", propellantDensity, 0.3, 3, "g/ml")); err != nil {
		return 0, err
	}
	paint := massFraction / paintDensity
	return paint / (paint + (1-massFraction)/propellantDensity), nil
}

// CanPaintShare is the usual share of paint in the volume on a can's label, so
// that a can of 400 ml holds about 260 ml of paint. Published shares by mass,
// assumed densities.
var CanPaintShare = bracket{0.65, 0.60, 0.70}.assumed("", "75 to 77 % paint by mass with dimethyl ether or propane and butane, densities assumed")

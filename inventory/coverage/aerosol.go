package coverage

// CanPaintShare is the usual share of paint in the volume on a can's label, so
// that a can of 400 ml holds about 260 ml of paint. Published shares by mass,
// assumed densities.
var CanPaintShare = bracket{0.65, 0.60, 0.70}.assumed("",
	"75 to 77 % paint by mass with dimethyl ether or propane and butane, densities assumed")

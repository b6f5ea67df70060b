package coverage

// Limits on films and areas, wide enough for every published table of the
// tests and narrow enough to catch a film given in the wrong unit.
const (
	MaxFilmUM  = 2000.0 // a film of 5 mm is a slip of the unit, not a coat of paint
	MaxThinner = 50.0   // parts of medium to one part of paint
	MaxLoss    = 0.99   // fraction
	MaxAreaCM2 = 1e6    // 100 m2
)

// mlPerCM2UM is the volume of one cm2 under one um.
const mlPerCM2UM = 1e-4

// Package likeness says which paints can stand in for another by colour, which
// mixes come near it, and how a whole recipe can be painted with other paints.
//
// Only paints that behave alike are compared: a wash is no stand-in for an opaque
// paint, nor an undercoat for a top coat, whatever their colours. Metallics,
// varnishes and whatever is not a coat of colour are not compared by colour at all,
// and a paint whose colour is not known is said to be so. Differences are CIEDE2000
// of the colours as given, most often a swatch: they propose, and the eye decides.
package likeness

package queries

// Targets lists them all.
func Targets() []Target {
	return []Target{
		IntoPaint, IntoStandIn, IntoSpectrum, IntoTrialMix, IntoTrialMixPart, IntoProduct,
		IntoProductContent, IntoShop, IntoDeliveryBand, IntoOffer, IntoFigure, IntoFigureRegion, IntoRecipe,
		IntoRecipeStep, IntoStepRegion, IntoStepCoatsOver, IntoStepChoice, IntoStepPart, IntoForce,
		IntoUnit, IntoMatchRule, IntoMatchStep, IntoMatchUnit, IntoPot, IntoPotEvent, IntoOrderLine,
		IntoOrderPot,
	}
}

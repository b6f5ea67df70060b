package queries

// Target is a table that rows are copied into in bulk, with the columns that
// each row gives, in order.
type Target struct {
	Table   []string
	Columns []string
}

func target(table string, columns ...string) Target {
	return Target{Table: []string{"halfpot", table}, Columns: columns}
}

// What new rows are copied into.
var (
	IntoPaint = target("paint", "id", "maker", "range", "name", "code", "type", "colour",
		"volume_solids", "density_g_ml", "finish", "carrier", "tone")
	IntoStandIn        = target("stand_in", "asked", "use", "compromise", "either_way", "note", "other_kind")
	IntoSpectrum       = target("spectrum", "paint", "nm", "reflectance")
	IntoTrialMix       = target("trial_mix", "mix", "seen", "note")
	IntoTrialMixPart   = target("trial_mix_part", "mix", "position", "paint", "parts")
	IntoProduct        = target("product", "id", "name", "code")
	IntoProductContent = target("product_content", "product", "position", "paint", "volume_ul", "count")
	IntoShop           = target("shop", "id", "name", "currency", "min_order")
	IntoDeliveryBand   = target("delivery_band", "shop", "from_amount", "fee")
	IntoOffer          = target("offer", "product", "shop", "price", "currency", "stock_limit")
	IntoFigure         = target("figure", "id", "name", "area_cm2", "stature_cm", "mass_kg", "scale",
		"formula", "clo", "kit", "heroic", "source", "note", "material")
	IntoFigureRegion = target("figure_region", "figure", "position", "name", "share", "area_cm2")
	IntoRecipe       = target("recipe", "id", "name")
	IntoRecipeStep   = target("recipe_step", "recipe", "position", "id", "name", "label", "all_regions",
		"share", "method", "no_stand_ins", "coats", "optional", "wait_after", "film_um", "loss", "kind",
		"per_item", "allow", "next_within", "after_steps")
	IntoStepRegion    = target("step_region", "recipe", "step", "left_out", "position", "name")
	IntoStepCoatsOver = target("step_coats_over", "recipe", "step", "position", "undercoat", "coats")
	IntoStepChoice    = target("step_choice", "recipe", "step", "choice", "label", "compromise", "medium",
		"paint_parts", "medium_parts")
	IntoStepPart = target("step_part", "recipe", "step", "choice", "position", "paint", "parts")
	IntoForce    = target("force", "id", "name")
	IntoUnit     = target("unit", "force", "position", "id", "name", "figures", "figure", "recipe",
		"undercoat", "batch", "worth", "after_units")
	IntoMatchRule = target("match_rule", "force", "position", "label")
	IntoMatchStep = target("match_step", "force", "rule", "position", "step")
	IntoMatchUnit = target("match_unit", "force", "rule", "position", "unit")
	IntoPot       = target("pot", "id", "paint", "product", "nominal_ul", "cost", "cost_currency", "place",
		"opened", "opened_day", "tare_g")
	IntoPotEvent = target("pot_event", "pot", "kind", "at", "volume_ul", "fraction", "gross_g", "tare_g",
		"estimated", "undoes", "job", "note", "day", "key")
	IntoOrderLine = target("order_line", "shop_order", "position", "product", "count", "price")
	IntoOrderPot  = target("order_pot", "event", "position", "pot")
)

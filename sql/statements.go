package queries

import _ "embed" // the statements

// One statement a file; the file's header says what it is for, its parameters
// and the order of its rows.
var (
	//go:embed queries/add_change.sql
	AddChange string

	//go:embed queries/add_factor_change.sql
	AddFactorChange string

	//go:embed queries/add_job.sql
	AddJob string

	//go:embed queries/add_merged.sql
	AddMerged string

	//go:embed queries/add_order.sql
	AddOrder string

	//go:embed queries/add_order_event.sql
	AddOrderEvent string

	//go:embed queries/add_pot_event.sql
	AddPotEvent string

	//go:embed queries/add_retired.sql
	AddRetired string

	//go:embed queries/add_work.sql
	AddWork string

	//go:embed queries/adopt_versions.sql
	AdoptVersions string

	//go:embed queries/clear_delivery_bands.sql
	ClearDeliveryBands string

	//go:embed queries/clear_figure_regions.sql
	ClearFigureRegions string

	//go:embed queries/clear_match_rules.sql
	ClearMatchRules string

	//go:embed queries/clear_product_contents.sql
	ClearProductContents string

	//go:embed queries/clear_recipe_steps.sql
	ClearRecipeSteps string

	//go:embed queries/clear_stand_ins.sql
	ClearStandIns string

	//go:embed queries/clear_trial_mix_parts.sql
	ClearTrialMixParts string

	//go:embed queries/clear_units.sql
	ClearUnits string

	//go:embed queries/describe_columns.sql
	DescribeColumns string

	//go:embed queries/describe_constraints.sql
	DescribeConstraints string

	//go:embed queries/drop_schema.sql
	DropSchema string

	//go:embed queries/find_change.sql
	FindChange string

	//go:embed queries/find_event_keys.sql
	FindEventKeys string

	//go:embed queries/find_pot_numbers.sql
	FindPotNumbers string

	//go:embed queries/find_pots.sql
	FindPots string

	//go:embed queries/find_pots_of_paint.sql
	FindPotsOfPaint string

	//go:embed queries/grant_rights.sql
	GrantRights string

	//go:embed queries/has_schema.sql
	HasSchema string

	//go:embed queries/hold_migrations.sql
	HoldMigrations string

	//go:embed queries/hold_writers.sql
	HoldWriters string

	//go:embed queries/is_halfpots.sql
	IsHalfpots string

	//go:embed queries/last_event.sql
	LastEvent string

	//go:embed queries/limit_change.sql
	LimitChange string

	//go:embed queries/list_delivery_bands.sql
	ListDeliveryBands string

	//go:embed queries/list_events_of_pots.sql
	ListEventsOfPots string

	//go:embed queries/list_factor_history.sql
	ListFactorHistory string

	//go:embed queries/list_factors.sql
	ListFactors string

	//go:embed queries/list_figure_regions.sql
	ListFigureRegions string

	//go:embed queries/list_figures.sql
	ListFigures string

	//go:embed queries/list_forces.sql
	ListForces string

	//go:embed queries/list_job_events.sql
	ListJobEvents string

	//go:embed queries/list_job_work.sql
	ListJobWork string

	//go:embed queries/list_jobs.sql
	ListJobs string

	//go:embed queries/list_match_rules.sql
	ListMatchRules string

	//go:embed queries/list_match_steps.sql
	ListMatchSteps string

	//go:embed queries/list_match_units.sql
	ListMatchUnits string

	//go:embed queries/list_merged.sql
	ListMerged string

	//go:embed queries/list_offers.sql
	ListOffers string

	//go:embed queries/list_order_events.sql
	ListOrderEvents string

	//go:embed queries/list_order_lines.sql
	ListOrderLines string

	//go:embed queries/list_orders.sql
	ListOrders string

	//go:embed queries/list_paints.sql
	ListPaints string

	//go:embed queries/list_pot_events.sql
	ListPotEvents string

	//go:embed queries/list_pots.sql
	ListPots string

	//go:embed queries/list_product_contents.sql
	ListProductContents string

	//go:embed queries/list_products.sql
	ListProducts string

	//go:embed queries/list_recipe_steps.sql
	ListRecipeSteps string

	//go:embed queries/list_recipes.sql
	ListRecipes string

	//go:embed queries/list_retired.sql
	ListRetired string

	//go:embed queries/list_settings.sql
	ListSettings string

	//go:embed queries/list_shops.sql
	ListShops string

	//go:embed queries/list_spectra.sql
	ListSpectra string

	//go:embed queries/list_stand_ins.sql
	ListStandIns string

	//go:embed queries/list_standing_events_of_job.sql
	ListStandingEventsOfJob string

	//go:embed queries/list_step_choices.sql
	ListStepChoices string

	//go:embed queries/list_step_coats_over.sql
	ListStepCoatsOver string

	//go:embed queries/list_step_parts.sql
	ListStepParts string

	//go:embed queries/list_step_regions.sql
	ListStepRegions string

	//go:embed queries/list_trial_mix_parts.sql
	ListTrialMixParts string

	//go:embed queries/list_trial_mixes.sql
	ListTrialMixes string

	//go:embed queries/list_units.sql
	ListUnits string

	//go:embed queries/list_version.sql
	ListVersion string

	//go:embed queries/list_work.sql
	ListWork string

	//go:embed queries/make_schema.sql
	MakeSchema string

	//go:embed queries/make_version_list.sql
	MakeVersionList string

	//go:embed queries/name_rights.sql
	NameRights string

	//go:embed queries/put_setting.sql
	PutSetting string

	//go:embed queries/release_migrations.sql
	ReleaseMigrations string

	//go:embed queries/remove_figure.sql
	RemoveFigure string

	//go:embed queries/remove_force.sql
	RemoveForce string

	//go:embed queries/remove_offer.sql
	RemoveOffer string

	//go:embed queries/remove_paint.sql
	RemovePaint string

	//go:embed queries/remove_product.sql
	RemoveProduct string

	//go:embed queries/remove_recipe.sql
	RemoveRecipe string

	//go:embed queries/remove_retired.sql
	RemoveRetired string

	//go:embed queries/remove_setting.sql
	RemoveSetting string

	//go:embed queries/remove_shop.sql
	RemoveShop string

	//go:embed queries/remove_spectrum.sql
	RemoveSpectrum string

	//go:embed queries/remove_stand_in.sql
	RemoveStandIn string

	//go:embed queries/remove_trial_mix.sql
	RemoveTrialMix string

	//go:embed queries/rights_given.sql
	RightsGiven string

	//go:embed queries/schema_version.sql
	SchemaVersion string

	//go:embed queries/take_numbers.sql
	TakeNumbers string

	//go:embed queries/update_figure.sql
	UpdateFigure string

	//go:embed queries/update_force.sql
	UpdateForce string

	//go:embed queries/update_offer.sql
	UpdateOffer string

	//go:embed queries/update_paint.sql
	UpdatePaint string

	//go:embed queries/update_pot.sql
	UpdatePot string

	//go:embed queries/update_product.sql
	UpdateProduct string

	//go:embed queries/update_recipe.sql
	UpdateRecipe string

	//go:embed queries/update_shop.sql
	UpdateShop string

	//go:embed queries/update_spectrum.sql
	UpdateSpectrum string

	//go:embed queries/update_stand_in.sql
	UpdateStandIn string

	//go:embed queries/update_trial_mix.sql
	UpdateTrialMix string

	//go:embed queries/write_plainly.sql
	WritePlainly string
)

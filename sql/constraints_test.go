package queries_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/sql/server/servertest"
)

// legal fills every table with rows that keep all rules.
const legal = `
insert into halfpot.paint values ('bone', default, 'Zest', 'Plain', 'Bone', '', 'base', '#c8b89a', 0.3, 1.2);
insert into halfpot.paint values ('black', default, 'Zest', 'Plain', 'Black', '', 'base', null, null, null);
insert into halfpot.stand_in values ('bone', 'black', default, 1, false, '');
insert into halfpot.spectrum values ('bone', default, '{400,700}', '{0.2,0.8}');
insert into halfpot.trial_mix values ('1:black+2:bone', default, '#808080', '');
insert into halfpot.trial_mix_part values ('1:black+2:bone', 1, 'bone', 2);
insert into halfpot.product values ('box', default, 'Box', '');
insert into halfpot.product_content values ('box', 1, 'bone', 17000, 2);
insert into halfpot.shop values ('corner', default, 'Corner', 'EUR', 0);
insert into halfpot.delivery_band values ('corner', 0, 4.95), ('corner', 30, -1);
insert into halfpot.offer values ('box', 'corner', default, 3.2, 'EUR', 0);
insert into halfpot.figure values ('guard', default, 'Guard', 9.6, null, null, null, null, null, null, null, '', '');
insert into halfpot.figure values ('scout', default, 'Scout', null, 0, 0, 56, '', 0, 0, 0, '', '');
insert into halfpot.figure_region values ('guard', 1, 'skin', 0.1, null), ('guard', 2, 'base', null, 4.9);
insert into halfpot.recipe values ('field', default, 'Field');
insert into halfpot.recipe_step values ('field', 1, 'coat', '', '', false, null, '', false, 0, false, '0', null, null);
insert into halfpot.step_region values ('field', 1, false, 1, 'skin');
insert into halfpot.step_coats_over values ('field', 1, 1, 'black', 2);
insert into halfpot.step_choice values ('field', 1, 0, '', 0, 'black', 2, 1), ('field', 1, 1, '', 0, null, null, null);
insert into halfpot.step_part values ('field', 1, 0, 1, 'bone', 2);
insert into halfpot.force values ('patrol', default, 'Patrol'), ('other', default, 'Other');
insert into halfpot.unit values ('patrol', 1, 'first', '', 8, 'guard', 'field', null, 0, null);
insert into halfpot.match_rule values ('patrol', 1, 'alike');
insert into halfpot.match_step values ('patrol', 1, 1, 'coat');
insert into halfpot.match_unit values ('patrol', 1, 1, 'first');
insert into halfpot.job values (default, 'j', 'patrol', now(), '', null), (default, 'undo', 'patrol', now(), '', 'j');
insert into halfpot.work values ('j', 1, 'patrol', 'first', 'coat', 3, '');
insert into halfpot.pot values (default, 'bone-1', 'bone', 'box', 17000, 3.2, 'EUR', '', now(), 11), (default, 'bone-2', 'bone', null, 17000, null, null, '', null, null);
insert into halfpot.pot_event (pot, at, kind, fraction, estimated, note, key) values (1, now(), 'judged', 0.5, false, '', '00000000-0000-4000-8000-000000000001');
insert into halfpot.pot_event (pot, at, kind, undoes, estimated, note) values (1, now(), 'corrected', 1, false, '');
insert into halfpot.factor_history values (default, 'method', 'brush', 'learned', 0, 0.1, 1, false, 1.1, 'j', '', now());
insert into halfpot.setting values ('a', 'b', now());
insert into halfpot.change (key, what, at) values ('00000000-0000-4000-8000-000000000002', 'a command', now());
insert into halfpot.shop_order values (default, 'o', gen_random_uuid(), 'corner', 'patrol', now(), null, 'EUR', 4.95, ''), (default, 'p', gen_random_uuid(), 'corner', null, now(), current_date, 'EUR', null, '');
insert into halfpot.order_line values ('o', 1, 'box', 3, 3.2), ('p', 1, 'box', 1, null);
insert into halfpot.order_event (key, shop_order, kind, at, product, count, came, price, note) values (gen_random_uuid(), 'o', 'received', now(), 'box', 1, 'box', 3.2, '');
insert into halfpot.order_event (key, shop_order, kind, at, product, count, note) values (gen_random_uuid(), 'o', 'called-off', now(), 'box', 1, '');
insert into halfpot.order_event (key, shop_order, kind, at, undoes, note) values (gen_random_uuid(), 'o', 'corrected', now(), 2, '');
insert into halfpot.order_pot values (1, 1, 'bone-1');
insert into halfpot.merged values ('bone-twice', 'bone', now());
`

// event is an illegal event of the first pot.
func event(columns, values string) string {
	return "insert into halfpot.pot_event (pot, at, estimated, note, " + columns +
		") values (1, now(), false, '', " + values + ")"
}

// ordered is an illegal event of an order.
func ordered(columns, values string) string {
	return "insert into halfpot.order_event (key, shop_order, at, note, " + columns +
		") values (gen_random_uuid(), 'o', now(), '', " + values + ")"
}

// order is an illegal order.
func order(id, shop, force, at, day, delivery string) string {
	return "insert into halfpot.shop_order values (default, " + id + ", gen_random_uuid(), " + shop +
		", " + force + ", " + at + ", " + day + ", 'EUR', " + delivery + ", '')"
}

// broken holds, for every rule of the tables, a statement that breaks it.
var broken = map[string]string{
	"slug_form":     "insert into halfpot.paint values ('Bone Tone', default, '', '', 'x', '', 'base')",
	"currency_form": "insert into halfpot.shop values ('x', default, '', 'eur', 0)",

	"paint_once": "insert into halfpot.paint values ('bone', default, '', '', 'x', " +
		"'', 'base')",
	"paint_has_name":            "insert into halfpot.paint values ('x', default, '', '', ' ', '', 'base')",
	"paint_colour_form":         "update halfpot.paint set colour = 'bone'",
	"paint_volume_solids_range": "update halfpot.paint set volume_solids = 1.1",
	"paint_density_range":       "update halfpot.paint set density_g_ml = 'NaN'",
	"stand_in_once": "insert into halfpot.stand_in values ('bone', 'black', default, " +
		"2, false, '')",
	"stand_in_asked_is_paint": "insert into halfpot.stand_in values ('nothing', 'black', default, " +
		"2, false, '')",
	"stand_in_use_is_paint": "insert into halfpot.stand_in values ('bone', 'nothing', default, " +
		"2, false, '')",
	"stand_in_compromise_range": "update halfpot.stand_in set compromise = -1",
	"spectrum_once": "insert into halfpot.spectrum values ('bone', default, " +
		"'{400,700}', '{0.2,0.8}')",
	"spectrum_of_paint": "insert into halfpot.spectrum values ('nothing', default, " +
		"'{400,700}', '{0.2,0.8}')",
	"spectrum_pairs": "update halfpot.spectrum set nm = '{400,500,700}'",
	"spectrum_range": "update halfpot.spectrum set reflectance = '{-0.1,0.8}'",
	"trial_mix_once": "insert into halfpot.trial_mix values ('1:black+2:bone', default, " +
		"'#808080', '')",
	"trial_mix_seen_form":           "update halfpot.trial_mix set seen = 'grey'",
	"trial_mix_part_of_mix":         "insert into halfpot.trial_mix_part values ('nothing', 1, 'bone', 2)",
	"trial_mix_part_position_range": "update halfpot.trial_mix_part set position = 0",
	"trial_mix_part_is_paint":       "update halfpot.trial_mix_part set paint = 'nothing'",
	"trial_mix_part_parts_range":    "update halfpot.trial_mix_part set parts = 0",
	"trial_mix_part_once": "insert into halfpot.trial_mix_part values ('1:black+2:bone', 1, " +
		"'black', 1)",
	"trial_mix_part_paint_once": "insert into halfpot.trial_mix_part values ('1:black+2:bone', " +
		"2, 'bone', 1)",
	"stand_in_is_another": "insert into halfpot.stand_in values ('bone', 'bone', default, " +
		"2, false, '')",
	"product_once":                   "insert into halfpot.product values ('box', default, '', '')",
	"product_content_once":           "insert into halfpot.product_content values ('box', 1, 'bone', 1, 1)",
	"product_content_of_product":     "insert into halfpot.product_content values ('nothing', 1, 'bone', 1, 1)",
	"product_content_is_paint":       "insert into halfpot.product_content values ('box', 2, 'nothing', 1, 1)",
	"product_content_position_range": "update halfpot.product_content set position = 0",
	"product_content_volume_range":   "update halfpot.product_content set volume_ul = 0",
	"product_content_count_range":    "update halfpot.product_content set count = 0",

	"shop_once":                   "insert into halfpot.shop values ('corner', default, '', 'USD', 0)",
	"shop_min_order_range":        "update halfpot.shop set min_order = 'NaN'",
	"shop_currency_once":          "",
	"delivery_band_once":          "insert into halfpot.delivery_band values ('corner', 30.000, 1)",
	"delivery_band_of_shop":       "insert into halfpot.delivery_band values ('nothing', 0, 1)",
	"delivery_band_from_range":    "update halfpot.delivery_band set from_amount = -1",
	"delivery_band_fee_is_number": "update halfpot.delivery_band set fee = 'NaN'",
	"offer_once":                  "insert into halfpot.offer values ('box', 'corner', default, 1, 'EUR', null)",
	"offer_of_product": "insert into halfpot.offer values ('nothing', 'corner', default, 1, " +
		"'EUR', null)",
	"offer_of_shop":           "insert into halfpot.offer values ('box', 'nothing', default, 1, 'EUR', null)",
	"offer_in_shop_currency":  "update halfpot.offer set currency = 'USD'",
	"offer_price_range":       "update halfpot.offer set price = -0.01",
	"offer_stock_limit_range": "update halfpot.offer set stock_limit = -1",

	"figure_once": "insert into halfpot.figure values ('guard', default, '', 1, null, " +
		"null, null, null, null, null, null, '', '')",
	"figure_area_range":            "update halfpot.figure set area_cm2 = 0",
	"figure_scale_range":           "update halfpot.figure set scale = 'NaN' where id = 'scout'",
	"figure_body_whole":            "update halfpot.figure set clo = 1 where id = 'guard'",
	"figure_body_range":            "update halfpot.figure set mass_kg = -1 where id = 'scout'",
	"figure_has_area":              "update halfpot.figure set area_cm2 = null",
	"figure_region_once":           "insert into halfpot.figure_region values ('guard', 1, 'x', 0.1, null)",
	"figure_region_name_once":      "insert into halfpot.figure_region values ('guard', 3, 'skin', 0.1, null)",
	"figure_region_of_figure":      "insert into halfpot.figure_region values ('nothing', 1, 'x', 0.1, null)",
	"figure_region_position_range": "update halfpot.figure_region set position = 0 where position = 1",
	"figure_region_has_name":       "update halfpot.figure_region set name = '' where position = 1",
	"figure_region_share_range":    "update halfpot.figure_region set share = 1.01 where position = 1",
	"figure_region_area_range":     "update halfpot.figure_region set area_cm2 = 0 where position = 2",
	"figure_region_share_or_area":  "update halfpot.figure_region set share = null where position = 1",

	"recipe_once": "insert into halfpot.recipe values ('field', default, '')",
	"recipe_step_once": "insert into halfpot.recipe_step values ('field', 1, 'x', '', '', " +
		"false, null, '', false, 0, false, '0', null, null)",
	"recipe_step_id_once": "insert into halfpot.recipe_step values ('field', 2, 'coat', '', " +
		"'', false, null, '', false, 0, false, '0', null, null)",
	"recipe_step_of_recipe": "insert into halfpot.recipe_step values ('nothing', 1, 'x', '', " +
		"'', false, null, '', false, 0, false, '0', null, null)",
	"recipe_step_position_range": "insert into halfpot.recipe_step values ('field', 0, 'x', '', '', " +
		"false, null, '', false, 0, false, '0', null, null)",
	"recipe_step_share_range":        "update halfpot.recipe_step set share = 0",
	"recipe_step_coats_range":        "update halfpot.recipe_step set coats = -1",
	"recipe_step_wait_after_range":   "update halfpot.recipe_step set wait_after = '-1 hour'",
	"recipe_step_next_within_range":  "update halfpot.recipe_step set next_within = '-1 hour'",
	"recipe_step_film_range":         "update halfpot.recipe_step set film_um = 'NaN'",
	"recipe_step_loss_range":         "update halfpot.recipe_step set loss = 1",
	"step_region_once":               "insert into halfpot.step_region values ('field', 1, false, 1, 'x')",
	"step_region_of_step":            "insert into halfpot.step_region values ('field', 9, false, 1, 'x')",
	"step_region_position_range":     "update halfpot.step_region set position = 0",
	"step_region_has_name":           "update halfpot.step_region set name = ''",
	"step_coats_over_once":           "insert into halfpot.step_coats_over values ('field', 1, 1, 'bone', 1)",
	"step_coats_over_of_step":        "insert into halfpot.step_coats_over values ('field', 9, 1, 'bone', 1)",
	"step_coats_over_position_range": "update halfpot.step_coats_over set position = 0",
	"step_coats_over_is_paint":       "update halfpot.step_coats_over set undercoat = 'nothing'",
	"step_coats_over_coats_range":    "update halfpot.step_coats_over set coats = -1",
	"step_choice_once": "insert into halfpot.step_choice values ('field', 1, 1, '', 0, " +
		"null, null, null)",
	"step_choice_of_step": "insert into halfpot.step_choice values ('field', 9, 1, '', 0, " +
		"null, null, null)",
	"step_choice_number_range": "insert into halfpot.step_choice values ('field', 1, -1, '', 0, " +
		"null, null, null)",
	"step_choice_compromise_range":   "update halfpot.step_choice set compromise = -1",
	"step_choice_medium_is_paint":    "update halfpot.step_choice set medium = 'nothing' where choice = 0",
	"step_choice_paint_parts_range":  "update halfpot.step_choice set paint_parts = 0 where choice = 0",
	"step_choice_medium_parts_range": "update halfpot.step_choice set medium_parts = 'NaN' where choice = 0",
	"step_choice_thinning_whole":     "update halfpot.step_choice set medium_parts = null where choice = 0",
	"step_part_once":                 "insert into halfpot.step_part values ('field', 1, 0, 1, 'black', 1)",
	"step_part_of_choice":            "insert into halfpot.step_part values ('field', 1, 9, 1, 'black', 1)",
	"step_part_position_range":       "update halfpot.step_part set position = 0",
	"step_part_is_paint":             "update halfpot.step_part set paint = 'nothing'",
	"step_part_parts_range":          "update halfpot.step_part set parts = 'NaN'",

	"force_once": "insert into halfpot.force values ('patrol', default, '')",
	"unit_once": "insert into halfpot.unit values ('patrol', 1, 'x', '', 8, 'guard', " +
		"'field', null, 0, null)",
	"unit_id_once": "insert into halfpot.unit values ('patrol', 2, 'first', '', 8, 'guard', " +
		"'field', null, 0, null)",
	"unit_of_force": "insert into halfpot.unit values ('nothing', 1, 'x', '', 8, 'guard', " +
		"'field', null, 0, null)",
	"unit_position_range":       "update halfpot.unit set position = 0",
	"unit_figures_range":        "update halfpot.unit set figures = 0",
	"unit_figure_exists":        "update halfpot.unit set figure = 'nothing'",
	"unit_recipe_exists":        "update halfpot.unit set recipe = 'nothing'",
	"unit_undercoat_is_paint":   "update halfpot.unit set undercoat = 'nothing'",
	"unit_batch_range":          "update halfpot.unit set batch = -1",
	"unit_worth_range":          "update halfpot.unit set worth = -1",
	"match_rule_once":           "insert into halfpot.match_rule values ('patrol', 1, 'x')",
	"match_rule_label_once":     "insert into halfpot.match_rule values ('patrol', 2, 'alike')",
	"match_rule_of_force":       "insert into halfpot.match_rule values ('nothing', 1, 'x')",
	"match_rule_position_range": "insert into halfpot.match_rule values ('patrol', 0, 'x')",
	"match_rule_has_label":      "update halfpot.match_rule set label = ' '",
	"match_step_once":           "insert into halfpot.match_step values ('patrol', 1, 1, 'x')",
	"match_step_of_rule":        "insert into halfpot.match_step values ('patrol', 9, 1, 'x')",
	"match_step_position_range": "update halfpot.match_step set position = 0",
	"match_step_has_name":       "update halfpot.match_step set step = ''",
	"match_unit_once":           "insert into halfpot.match_unit values ('patrol', 1, 1, 'first')",
	"match_unit_of_rule":        "insert into halfpot.match_unit values ('patrol', 9, 1, 'first')",
	"match_unit_position_range": "update halfpot.match_unit set position = 0",
	"match_unit_is_unit":        "update halfpot.match_unit set unit = 'nobody'",

	"job_once": "insert into halfpot.job values (default, 'j', 'patrol', now(), '', null)",
	"job_number_once": "insert into halfpot.job overriding system value values (1, 'x', 'patrol', " +
		"now(), '', null)",
	"job_of_force":       "insert into halfpot.job values (default, 'x', 'nothing', now(), '', null)",
	"job_at_is_time":     "insert into halfpot.job values (default, 'x', 'patrol', 'infinity', '', null)",
	"job_undone_once":    "insert into halfpot.job values (default, 'x', 'patrol', now(), '', 'j')",
	"job_undoes_exists":  "insert into halfpot.job values (default, 'x', 'patrol', now(), '', 'nothing')",
	"job_undoes_another": "insert into halfpot.job values (default, 'x', 'patrol', now(), '', 'x')",
	"job_force_once":     "",
	"job_key_once": "insert into halfpot.job (id, force, at, note, key) select 'x', force, at, " +
		"'', key from halfpot.job where id = 'j'",
	"job_day_range": "insert into halfpot.job (id, force, at, note, day) values ('x', 'patrol', " +
		"now(), '', current_date - 3)",
	"job_append_only":     "update halfpot.job set note = 'other'",
	"work_once":           "insert into halfpot.work values ('j', 1, 'patrol', 'first', 'coat', 1, '')",
	"work_position_range": "insert into halfpot.work values ('j', 0, 'patrol', 'first', 'coat', 1, '')",
	"work_figures_range":  "insert into halfpot.work values ('j', 2, 'patrol', 'first', 'coat', 0, '')",
	"work_of_job":         "insert into halfpot.work values ('j', 2, 'other', 'first', 'coat', 1, '')",
	"work_unit_exists":    "insert into halfpot.work values ('j', 2, 'patrol', 'nobody', 'coat', 1, '')",
	"work_append_only":    "delete from halfpot.work",

	"pot_once": "insert into halfpot.pot values (default, 'bone-1', 'bone', null, 1, null, " +
		"null, '', null, null)",
	"pot_number_once": "insert into halfpot.pot overriding system value values (1, 'x', 'bone', " +
		"null, 1, null, null, '', null, null)",
	"pot_is_paint":         "update halfpot.pot set paint = 'nothing'",
	"pot_product_exists":   "update halfpot.pot set product = 'nothing'",
	"pot_nominal_range":    "update halfpot.pot set nominal_ul = 0",
	"pot_cost_range":       "update halfpot.pot set cost = -1 where id = 'bone-1'",
	"pot_cost_whole":       "update halfpot.pot set cost = null where id = 'bone-1'",
	"pot_opened_day_range": "update halfpot.pot set opened = '2026-01-05', opened_day = '2026-01-01'",
	"pot_opened_is_time":   "update halfpot.pot set opened = '-infinity'",
	"pot_tare_range":       "update halfpot.pot set tare_g = 'NaN'",

	"pot_event_number_once": "insert into halfpot.pot_event overriding system value values (1, 1, " +
		"now(), 'opened', null, null, null, null, false, null, null, '')",
	"pot_event_of_pot_once": "",
	"pot_event_of_pot": "insert into halfpot.pot_event (pot, at, kind, estimated, " +
		"note) values (99, now(), 'opened', false, '')",
	"pot_event_at_is_time": "insert into halfpot.pot_event (pot, at, kind, estimated, " +
		"note) values (1, 'infinity', 'opened', false, '')",
	"pot_event_kind_known":     event("kind", "'lost'"),
	"pot_event_volume_range":   event("kind, volume_ul", "'used', -1"),
	"pot_event_fraction_range": event("kind, fraction", "'judged', 'NaN'"),
	"pot_event_gross_range":    event("kind, gross_g", "'weighed', 0"),
	"pot_event_tare_range":     event("kind, gross_g, tare_g", "'weighed', 20, 'NaN'"),
	"pot_event_undone_once":    event("kind, undoes", "'corrected', 1"),
	"pot_event_undoes_same_pot": "insert into halfpot.pot_event (pot, at, kind, undoes, estimated, " +
		"note) values (2, now(), 'corrected', 2, false, '')",
	"pot_event_undoes_earlier":    event("kind, undoes", "'corrected', 99"),
	"pot_event_correction_undoes": event("kind", "'corrected'"),
	"pot_event_job_exists":        event("kind, job", "'opened', 'nothing'"),
	"pot_event_key_once":          event("kind, key", "'opened', '00000000-0000-4000-8000-000000000001'"),
	"pot_event_day_range":         event("kind, day", "'opened', current_date + 3"),
	"pot_event_measure":           event("kind, fraction, volume_ul", "'judged', 0.5, 100"),
	"pot_event_append_only":       "update halfpot.pot_event set note = 'other'",

	"shop_order_once": order("'o'", "'corner'", "null", "now()", "null", "null"),
	"shop_order_number_once": "insert into halfpot.shop_order overriding system value values (1, " +
		"'x', gen_random_uuid(), 'corner', null, now(), null, 'EUR', null, '')",
	"shop_order_key_once": "insert into halfpot.shop_order (id, key, shop, at, currency, " +
		"note) select 'x', key, shop, at, currency, note from halfpot.shop_order where id = 'o'",
	"shop_order_shop_exists":        order("'x'", "'nothing'", "null", "now()", "null", "null"),
	"shop_order_force_exists":       order("'x'", "'corner'", "'nothing'", "now()", "null", "null"),
	"shop_order_at_is_time":         order("'x'", "'corner'", "null", "'infinity'", "null", "null"),
	"shop_order_day_range":          order("'x'", "'corner'", "null", "now()", "current_date - 3", "null"),
	"shop_order_delivery_is_number": order("'x'", "'corner'", "null", "now()", "null", "'NaN'"),
	"shop_order_append_only":        "update halfpot.shop_order set note = 'other'",
	"order_line_once":               "insert into halfpot.order_line values ('o', 1, 'box', 1, null)",
	"order_line_product_once":       "insert into halfpot.order_line values ('o', 2, 'box', 1, null)",
	"order_line_of_order":           "insert into halfpot.order_line values ('nothing', 1, 'box', 1, null)",
	"order_line_product_exists":     "insert into halfpot.order_line values ('o', 2, 'nothing', 1, null)",
	"order_line_position_range":     "insert into halfpot.order_line values ('o', 0, 'box', 1, null)",
	"order_line_count_range":        "insert into halfpot.order_line values ('o', 2, 'box', 0, null)",
	"order_line_price_range":        "insert into halfpot.order_line values ('o', 2, 'box', 1, -1)",
	"order_line_append_only":        "delete from halfpot.order_line",
	"order_event_number_once": "insert into halfpot.order_event overriding system value values " +
		"(1, gen_random_uuid(), 'o', 'called-off', now(), null, 'box', 1, null, null, null, '')",
	"order_event_key_once": "insert into halfpot.order_event (key, shop_order, kind, at, " +
		"product, count, note) select key, 'o', 'called-off', now(), 'box', 1, " +
		"'' from halfpot.order_event where id = 1",
	"order_event_of_order_once": "",
	"order_event_of_order": "insert into halfpot.order_event (key, shop_order, kind, at, " +
		"product, count, note) values (gen_random_uuid(), 'nothing', 'called-off', now(), 'box', 1, '')",
	"order_event_is_of_line": ordered("kind, product, count", "'called-off', 'crate', 1"),
	"order_event_kind_known": ordered("kind, product, count", "'lost', 'box', 1"),
	"order_event_at_is_time": "insert into halfpot.order_event (key, shop_order, kind, at, " +
		"product, count, note) values (gen_random_uuid(), 'o', 'called-off', 'infinity', 'box', 1, '')",
	"order_event_day_range": ordered("kind, product, count, day",
		"'called-off', 'box', 1, current_date + 3"),
	"order_event_count_range": ordered("kind, product, count", "'called-off', 'box', 0"),
	"order_event_came_exists": ordered("kind, product, count, came", "'received', 'box', 1, 'nothing'"),
	"order_event_price_range": ordered("kind, product, count, price", "'received', 'box', 1, 'NaN'"),
	"order_event_undoes_same_order": "insert into halfpot.order_event (key, shop_order, kind, at, " +
		"undoes, note) values (gen_random_uuid(), 'p', 'corrected', now(), 1, '')",
	"order_event_undoes_earlier":     ordered("kind, undoes", "'corrected', 99"),
	"order_event_undone_once":        ordered("kind, undoes", "'corrected', 2"),
	"order_event_measure":            ordered("kind, product, count, price", "'called-off', 'box', 1, 3"),
	"order_event_delivery_is_number": ordered("kind, delivery", "'put-right', 'NaN'"),
	"order_event_append_only":        "truncate halfpot.order_event, halfpot.order_pot",
	"order_pot_once":                 "insert into halfpot.order_pot values (1, 1, 'bone-2')",
	"order_pot_came_once":            "insert into halfpot.order_pot values (1, 2, 'bone-1')",
	"order_pot_of_event":             "insert into halfpot.order_pot values (99, 1, 'bone-2')",
	"order_pot_pot_exists":           "insert into halfpot.order_pot values (1, 2, 'nothing')",
	"order_pot_position_range":       "insert into halfpot.order_pot values (1, 0, 'bone-2')",
	"order_pot_append_only":          "delete from halfpot.order_pot",

	"factor_history_once": "insert into halfpot.factor_history overriding system value " +
		"values (1, 'method', 'brush', 'learned', 0, 0, 0, false, null, null, '', now())",
	"factor_history_level_known": "insert into halfpot.factor_history values (default, 'hand', " +
		"'brush', 'learned', 0, 0, 0, false, null, null, '', now())",
	"factor_history_change_known": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'guessed', 0, 0, 0, false, null, null, '', now())",
	"factor_history_mean_is_number": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 'NaN', 0, 0, false, null, null, '', now())",
	"factor_history_sd_range": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 0, -1, 0, false, null, null, '', now())",
	"factor_history_observations_range": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 0, 0, -1, false, null, null, '', now())",
	"factor_history_observed_range": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 0, 0, 0, false, 0, null, '', now())",
	"factor_history_job_exists": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 0, 0, 0, false, null, 'nothing', '', now())",
	"factor_history_at_is_time": "insert into halfpot.factor_history values (default, 'method', " +
		"'brush', 'learned', 0, 0, 0, false, null, null, '', 'infinity')",
	"factor_history_append_only": "truncate halfpot.factor_history",
	"factor_history_event_key_once": "insert into halfpot.factor_history overriding system value select " +
		"9, level, key, change, log_mean, log_sd, observations, pinned, observed, job, note, at, " +
		"event_key from halfpot.factor_history",
	"change_once": "insert into halfpot.change overriding system value values (1, " +
		"gen_random_uuid(), '', now())",
	"change_key_once": "insert into halfpot.change (key, what, at) select key, what, " +
		"at from halfpot.change",
	"change_at_is_time": "insert into halfpot.change (key, what, at) values (gen_random_uuid(), " +
		"'', 'infinity')",
	"change_append_only":      "update halfpot.change set what = ''",
	"migration_pkey":          "insert into halfpot.migration select * from halfpot.migration",
	"setting_once":            "insert into halfpot.setting values ('a', 'c', now())",
	"setting_changed_is_time": "update halfpot.setting set changed = 'infinity'",
	"merged_once":             "insert into halfpot.merged values ('bone-twice', 'black', now())",
	"merged_at_is_time":       "insert into halfpot.merged values ('other', 'bone', 'infinity')",
	"merged_into_another":     "insert into halfpot.merged values ('bone', 'bone', now())",
	"merged_append_only":      "delete from halfpot.merged",
	"retired_kind_known":      "insert into halfpot.retired values ('pencil', 'a', now())",
	"retired_has_id":          "insert into halfpot.retired values ('paint', '', now())",
	"retired_at_is_time":      "insert into halfpot.retired values ('paint', 'a', 'infinity')",
	"retired_once": "insert into halfpot.retired select 'paint', 'a', " +
		"now() from generate_series(1, 2)",
}

// implied are keys that only serve foreign keys: the shorter key beside each
// of them is broken first.
var implied = map[string]bool{
	"shop_currency_once":        true,
	"job_force_once":            true,
	"pot_event_of_pot_once":     true,
	"order_event_of_order_once": true,
}

func filled(t *testing.T) *pgx.Conn {
	t.Helper()
	return filledAt(t, servertest.AsOwner(servertest.New(t)))
}

func filledAt(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn := connect(t, url)
	if _, err := conn.Exec(t.Context(), legal); err != nil {
		t.Fatal(err)
	}
	return conn
}

func TestEveryConstraintRefuses(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	rows, err := conn.Query(t.Context(), `
		select conname::text from pg_constraint where connamespace = 'halfpot'::regnamespace and contype in ('c', 'f', 'p', 'u')
		union select i.relname::text from pg_index x join pg_class i on i.oid = x.indexrelid where x.indisunique and i.relnamespace = 'halfpot'::regnamespace
		union select t.tgname::text from pg_trigger t join pg_class r on r.oid = t.tgrelid where not t.tgisinternal and r.relnamespace = 'halfpot'::regnamespace`)
	if err != nil {
		t.Fatal(err)
	}
	names, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(names) < 100 {
		t.Fatalf("%d constraints, %v", len(names), err)
	}
	for _, name := range names {
		statement, known := broken[name]
		switch {
		case !known:
			t.Errorf("no test breaks %s", name)
		case implied[name]:
		default:
			mustRefuse(t, conn, name, statement)
		}
	}
	if len(broken) != len(names) {
		t.Errorf("%d statements for %d constraints: some constraint is gone", len(broken), len(names))
	}
}

// mustRefuse runs a statement to the end of a transaction, since some rules
// hold only there, and fails unless the named rule refuses it.
func mustRefuse(t *testing.T, conn *pgx.Conn, name, statement string) {
	t.Helper()
	err := pgx.BeginFunc(t.Context(), conn, func(tx pgx.Tx) error {
		if _, err := tx.Exec(t.Context(), statement); err != nil {
			return err
		}
		_, err := tx.Exec(t.Context(), "set constraints all immediate")
		if err == nil {
			return errors.New("was done")
		}
		return err
	})
	pg, ok := errors.AsType[*pgconn.PgError](err)
	if !ok || pg.ConstraintName != name {
		t.Errorf("%s: %s: %v", name, statement, err)
	}
}

func TestNothingIsNullThatMustBeKnown(t *testing.T) {
	conn := filled(t)
	rows, err := conn.Query(t.Context(), `
		select table_name || '.' || column_name from information_schema.columns
		where table_schema = 'halfpot' and is_nullable = 'YES' and table_name not in ('factor')`)
	if err != nil {
		t.Fatal(err)
	}
	nullable, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	may := " paint.colour paint.volume_solids paint.density_g_ml offer.stock_limit figure.area_cm2 " +
		"figure.stature_cm figure.mass_kg figure.scale " +
		"figure.formula figure.clo figure.kit figure.heroic figure_region.share figure_region.area_cm2 " +
		"recipe_step.share recipe_step.film_um recipe_step.loss " +
		"step_choice.medium step_choice.paint_parts step_choice.medium_parts unit.undercoat unit.worth " +
		"job.undoes pot.product pot.cost pot.cost_currency " +
		"pot.opened pot.tare_g pot_event.volume_ul pot_event.fraction pot_event.gross_g pot_event.tare_g " +
		"pot_event.undoes pot_event.job pot_event.day pot.opened_day job.day " +
		"shop_order.force shop_order.day shop_order.delivery order_line.price order_event.day " +
		"order_event.product order_event.count order_event.came order_event.price order_event.undoes " +
		"order_event.delivery order_event.remark " +
		"factor_history.observed factor_history.job "
	for _, column := range nullable {
		if !strings.Contains(may, " "+column+" ") {
			t.Errorf("%s may be null", column)
		}
	}
	if len(nullable) != len(strings.Fields(may)) {
		t.Errorf("%d columns may be null, %d are expected to", len(nullable), len(strings.Fields(may)))
	}
}

// What was recorded stays as it was recorded: even for a superuser, as the user
// of a database that was given may be one, and for a session that replays a
// replica, which passes ordinary triggers by.
func TestRecordsAreAppendOnly(t *testing.T) {
	t.Parallel()
	conn := filledAt(t, servertest.AsMaker(t, servertest.New(t)))
	for _, role := range []string{"origin", "replica"} {
		if _, err := conn.Exec(t.Context(), "set session_replication_role = "+role); err != nil {
			t.Fatal(err)
		}
		for table, set := range map[string]string{
			"pot_event": "note = ''", "job": "note = ''", "work": "figures = 1",
			"factor_history": "note = ''", "change": "what = ''", "shop_order": "note = ''",
			"order_line": "count = 1", "order_event": "note = ''", "order_pot": "position = 1",
			"merged": "into_paint = 'black'",
		} {
			for _, statement := range []string{
				"update halfpot." + table + " set " + set,
				"delete from halfpot." + table,
				"truncate halfpot." + table + " cascade",
				"delete from halfpot." + table + " where false",
			} {
				_, err := conn.Exec(t.Context(), statement)
				pg, ok := errors.AsType[*pgconn.PgError](err)
				if !ok || pg.Code != "23001" || !strings.Contains(pg.Message, "is append-only") ||
					pg.Hint == "" || pg.TableName == "" {
					t.Errorf("as %s: %s: %v", role, statement, err)
				}
			}
		}
	}
	// Its parents can't be taken from under it either.
	if _, err := conn.Exec(context.Background(), "set session_replication_role = origin"); err != nil {
		t.Fatal(err)
	}
	mustRefuse(t, conn, "pot_event_of_pot", "delete from halfpot.pot where number = 1")
}

// A slip in one event of many leaves none of them.
func TestCopyIsAllOrNothing(t *testing.T) {
	t.Parallel()
	conn := filled(t)
	rows := [][]any{{1, "opened"}, {1, "lost"}}
	_, err := conn.CopyFrom(t.Context(), pgx.Identifier{"halfpot", "pot_event"},
		[]string{"pot", "kind", "at", "estimated", "note"},
		pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
			return append(rows[i], time.Unix(0, 0), false, ""), nil
		}))
	if pg, ok := errors.AsType[*pgconn.PgError](err); !ok || pg.ConstraintName != "pot_event_kind_known" {
		t.Fatalf("got %v", err)
	}
	var n int
	if err := conn.QueryRow(t.Context(), "select count(*) from halfpot.pot_event").Scan(&n); err != nil ||
		n != 2 {
		t.Errorf("%d events, %v", n, err)
	}
}

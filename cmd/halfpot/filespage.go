package main

const filesPage = `Halfpot reads CSV for lists and TOML for what nests. halfpot demo leaves a full set of
files that you can look into and change.

CSV: a header row, columns in any order, UTF-8. What a file holds is told by its name
where that is one of these ("pots.csv"), else by its header. A star marks what must be
there:

  paints      id maker range name* code type* colour volume-solids density
              finish (matt, satin, gloss) carrier (water, solvent)
              tone (light, middle, dark)
  stand-ins   for* use* compromise either-way note
  products    id name code paint* volume* count     a set: several rows with one id
  shops       id name* currency* min-order
  delivery    shop* from* fee*                      a shop's charge from an order value on
  offers      product* shop* price* limit
  pots        id paint* product size* bought full judged opened cost place tare
  pot-events  pot* number kind* at* volume fraction gross tare estimated undoes job note

In pots, full is how full the pot is ("60 %", "1/2" or "10 ml") and judged the day you
looked; size is what the label says.

TOML: the same names as arrays of tables ([[paints]], [[shops]] with delivery, and so
on), and in TOML only:

  [[figures]]   id, name, and an area ("9 cm2") or a body: stature, scale ("1:56" or
                "28 mm to eye"), clo, kit, heroic; or a box around a vehicle or
                terrain: length, width, height in life, scale ("1:1" as measured on
                the table), detail; material (plastic, metal, resin,
                printed); regions with a share, an area or a base
                ("25 mm", "60 x 35 mm") and its rim
  [[recipes]]   id, name, steps: id, name, regions (names, or "all", or all-but),
                paint or mix by parts, method, coats, thinning, alternatives with a
                compromise, optional, wait-after ("30 min", "overnight"), label;
                kind of a step that is not painting (prepare, drill, glue,
                transfer, setting, sand, seal, tuft), which needs no paint;
                per-item (figures one item does), allow (rules of order not
                to be told of)
  [[forces]]    id, name, units: id, name, figures, figure, recipe, batch, undercoat,
                worth; match: label, steps, units

  [[figures]]
  id = "sentry"
  name = "Sentry"
  body = { stature = "174 cm", scale = "28 mm to eye" }
  regions = [{ name = "jacket", share = "30 %" }, { name = "webbing", share = "8 %" }]

  [[recipes]]
  id = "sand-uniform"
  name = "Sand uniform"
  steps = [
    { id = "jacket", name = "Jacket", regions = ["jacket"], paint = "sand" },
    { id = "straps", name = "Straps", regions = ["webbing"],
      mix = [{ paint = "leather", parts = 2 }, { paint = "black", parts = 1 }],
      alternatives = [{ paint = "leather", compromise = 2 }] },
  ]

Values carry their unit: "17 ml", "38.4 g", "4.9 cm2", "35 um", "30 min"; money its
currency, "12.50 EUR", or the shop's where the shop is in the same load. Shares are
"35 %" or 0.35, dates 2026-11-25. Pencils and dry pigments are counted: "1 item". An
id is lower-case letters, digits and hyphens; left out, it is made from the name.

The kinds of pot events: bought, opened, judged (volume or fraction), weighed (gross,
tare), used (volume), spilled, thinned (volume of water; none: back
to its strength), dried-out, given-away, corrected (undoes a number).

Types of paint: primer-spray, primer-brush, dry-brush, one-coat, base, layer, wash,
glaze, ink, highlight, metallic, texture, varnish, varnish-spray, medium, pigment,
pencil, supply (transfers, tufts, by the piece). Methods: brush, dry-brush, wash, airbrush, spray, pencil.`

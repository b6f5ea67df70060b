// Package testdata holds the invented demo scenario as files, built into the
// program so that halfpot demo works anywhere.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo
var files embed.FS

// Demo is the folder of the demo scenario: CSV and TOML files that load
// together as one batch.
func Demo() fs.FS {
	sub, err := fs.Sub(files, "demo")
	if err != nil {
		panic(err) // the name is a constant and valid
	}
	return sub
}

// DemoFiles lists the files of Demo in the order a reader would want them.
func DemoFiles() []string {
	return []string{"paints.csv", "stand-ins.csv", "products.csv", "shops.csv", "delivery.csv", "offers.csv",
		"figures.toml", "recipes.toml", "force.toml", "pots.csv", "pot-events.csv"}
}

// DemoForce is the id of the force the demo plans.
const DemoForce = "salt-pass"

package server

import _ "embed" // for create_database.sql

//go:embed create_database.sql
var createDatabase string

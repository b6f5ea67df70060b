package textfile

import (
	"bytes"

	"github.com/pelletier/go-toml/v2"

	"halfpot/inventory"
)

// Fields are things by kind ("recipes") as a TOML file writes them: tables of keys,
// to be changed and read again.
type Fields map[string][]map[string]any

// FieldsOf gives a catalogue's things as fields.
func FieldsOf(c inventory.Catalogue) (Fields, error) {
	var text bytes.Buffer
	if err := WriteTOML(&text, c, nil); err != nil {
		return nil, err
	}
	f := Fields{}
	return f, toml.Unmarshal(text.Bytes(), &f)
}

// ReadFields reads fields as [Read] does the file they would make. The places of
// faults are in that file, which nobody sees: what counts are their fields.
func ReadFields(o Options, f Fields) (*Bundle, error) {
	text, err := toml.Marshal(f)
	if err != nil {
		return nil, err
	}
	return Read(o, Source{Name: "typed.toml", Reader: bytes.NewReader(text), Size: int64(len(text))})
}

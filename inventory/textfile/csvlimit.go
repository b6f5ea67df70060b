package textfile

// What a CSV file may hold at most. mostFields is far more than any list has
// columns, and few enough that a row of nothing but commas costs nothing. MaxRows
// is counted without the header.
const (
	mostFields = 200
	MaxRows    = 100_000
)

// csvTooMuch finds the first row with more fields than that, by its line, 0
// where there is none. It reads quotes as encoding/csv does: they count where a
// field begins with one, and a row that breaks the format ends with its line.
func csvTooMuch(data []byte) (line int) {
	fields, begins := 1, 1 // of the row, and the line on which it begins
	at := 1                // the line
	start, quoted := true, false
	for i := 0; i < len(data); i++ {
		c := data[i]
		switch {
		case c == '\n':
			at++
			if !quoted {
				fields, begins, start = 1, at, true
			}
		case quoted:
			if c != '"' {
				break
			}
			if i+1 < len(data) && data[i+1] == '"' {
				i++
				break
			}
			quoted = false
		case c == ',':
			if fields++; fields > mostFields {
				return begins
			}
			start = true
		case c == '"' && start:
			quoted, start = true, false
		default:
			start = false
		}
	}
	return 0
}

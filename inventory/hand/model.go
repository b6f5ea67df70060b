package hand

// Assumptions is what the model takes for granted before a reading is known.
// Logs are natural. All are assumptions, tried on simulated painters (see
// MEASURED.md).
type Assumptions struct {
	// of the variance of a method's hand: method, type within it, paint within that; sum 1
	Parts              [3]float64
	JobFilm            float64 // scatter of the film of one job, sd of the log
	JobWaste           float64 // scatter of the waste of one sitting, sd of the log
	Waste, WasteMethod float64 // waste of the painter, and of a method about it, sd of the log
	// what an eye always misreads: constant, and for each share of a pot beyond a half; sd
	EyeShift, EyeTilt float64
	Water             float64 // water lost, sd of the log
	WaterMonth        float64 // water lost through the lid, fraction of the water a month
	WaterSitting      float64 // water lost while the pot stands open for a sitting, ml
	// use nobody logs while a pot is watched: fraction of nominal a month (median), sd of the log
	Silent, SilentSD float64
	// by how much less or more, in logs, while the pot is watched, and where nobody logs
	Watched, Unwatched float64
	SplitSD            float64 // sd of each of the two
	PotSilent          float64 // how pots differ in silent use, sd as a fraction
	TouchUp            float64 // ml of one silent use
	// sittings nobody logs, by one who forgets some, while a pot is watched: fraction of nominal a
	// month, half-normal sd; 0: none forgets
	Forgotten     float64
	Forgets       float64 // chance that a painter is one who forgets some
	ForgottenML   float64 // ml of one forgotten sitting
	WatchedMonths float64 // months after a logged use that count as watched
	// how far one painter is from the tables, over how far painters are, the nearest first; none: as
	// far as painters are
	Far []Far
	// how many times as likely the nearest is taken to be for where the estimate stands as for how
	// wide its range is; at least 1
	ByTables            float64
	Tails               float64 // degrees of freedom of what a whole hand does (Student t)
	Eye, Scale          float64 // one look, fraction of the pot (at a half); one weighing, g
	Measured, Spill     float64 // a use measured, a spill judged: sd as a fraction
	Fill                float64 // fill of a new pot, fraction
	Density             float64 // sd as a fraction
	WorthEye            float64 // looks that the assumed error of a look is worth
	WorthScale          float64 // weighings that the assumed error of the scale is worth
	WorthJob            float64 // readings that the assumed scatter of jobs is worth
	Bar                 float64 // standard deviations from which a reading is flagged
	FlagFrom, FlagUntil int     // rounds in which flags are set
	Rounds              int
}

// Assumed are the assumptions halfpot starts with.
func Assumed() Assumptions {
	return Assumptions{
		Parts: [3]float64{.60, .25, .15}, JobFilm: .20, JobWaste: .40, Waste: .55, WasteMethod: .40,
		EyeShift: .07, EyeTilt: .08, Water: .70, WaterMonth: .003, WaterSitting: .02,
		Silent:        .003,
		SilentSD:      .75,
		Watched:       -1,
		Unwatched:     .9,
		SplitSD:       .95,
		PotSilent:     .7,
		TouchUp:       .4,
		Forgotten:     .04,
		Forgets:       .65,
		ForgottenML:   1,
		WatchedMonths: 1.5,
		Far:           []Far{{.05, .25}, {.5, .20}, {1, .45}, {2, .10}}, ByTables: 3,
		Tails: 4, Eye: .08, Scale: .10, Measured: .10, Spill: .30, Fill: .03, Density: .03,
		WorthEye: 10, WorthScale: 6, WorthJob: 8, Bar: 4, FlagFrom: 7, FlagUntil: 10, Rounds: 14,
	}
}

// Far is a factor on the spread of every effect of one painter's film and
// waste, and how likely it is before a reading. Many a painter paints much as
// the tables say, and then all of it is there, not each thing near it by itself:
// without this, one who paints exactly by the tables is told worse after
// learning than before.
type Far struct{ Factor, Chance float64 }

// Record is everything that is known of one painter's work: the values that
// [FromRecord] learns from.
type Record struct {
	Methods  []float64 // how far hands differ at each method: sd of the log of actual over tabled film
	Apart    []bool    // methods whose waste has nothing to do with that of others, as a can's with the palette's; nil: none
	Types    []int     // the method of each pair of method and type of paint
	Paints   []Way     // how each paint is mostly put on
	Pots     []Vessel
	Settings []Setting
}

// Way is how paint was put on: indices into Methods and Types; Type -1 where
// the type has no effect of its own at this method.
type Way struct{ Method, Type int }

// Vessel is one pot with what happened to it, in the order of time; of one
// moment in the order in which it counts.
type Vessel struct {
	ID           string
	Paint        int
	Full         float64 // paint in a full pot, ml
	FillSD       float64 // ml
	Dead, DeadSD float64 // never comes out, ml
	Density      float64 // g/ml; 0: cannot be weighed
	Water        float64 // water in the paint, fraction; 0: does not dry
	Tare, TareSD float64 // g
	Opened       bool    // nothing is known of its level until the first reading
	Events       []Event
}

// EventKind is what an event of a [Vessel] says.
type EventKind uint8

// Events. Time passes between them only for an opened pot.
const (
	Fresh       EventKind = iota // bought full
	FreshPart                    // bought part full: Value is the share
	Unseal                       // opened: silent use and drying begin
	Draw                         // used by the tables: Film, Waste, Sittings, Way
	DrawKnown                    // used and measured: Value ml
	SpillML                      // lost: Value ml
	SpillShare                   // lost: Value of what was there
	Look                         // judged by eye: Value is the share that is there
	Weigh                        // on the scale: Value g, with the pot
	Thin                         // water stirred in: Value ml, 0: back to the strength it was sold at
	LostForGood                  // dried out or given away
)

// Event is one thing that happened to a pot.
type Event struct {
	Kind     EventKind
	Month    float64 // time, in months since any fixed day
	Value    float64
	Film     float64 // ml on the figures, by the tables, with what a brush loses
	Waste    float64 // ml of all sittings together, by the tables
	Sittings float64
	Way      Way
	Verdict  Verdict // the painter's answer about a reading
}

// Verdict is what the painter said of a reading that was flagged.
type Verdict uint8

// Verdicts.
const (
	NoVerdict Verdict = iota
	Right             // as read: never flag it again
	Missed            // paint went that nobody logged: a spill, a sitting
	Misread           // leave it out
)

// Level is how wide an effect of the hand reaches.
type Level uint8

// Levels.
const (
	OfMethod Level = iota
	OfType
	OfPaint
)

// Setting is a word of the painter about one effect: a pin, or a reset that
// forgets it and all below it.
type Setting struct {
	Month  float64
	Level  Level
	Index  int // of method, type or paint
	Pin    bool
	Log    float64 // of a pin: the log of the factor
	Spread float64 // its sd
}

// Package club holds the canonical tables of a club: their schema as data, the
// rows as Go values, and the store that keeps them as Arrow files.
//
// A Maybe that is not OK and an empty text mean "not recorded". Times are UTC
// to the second. The package neither reads logs nor answers questions.
package club

import "gravid/ingest/problem"

// A Source says from which row of which log a row of a table came.
type Source struct {
	File  string
	Sheet string
	Row   int64
}

// An Attempt is a chance given to a pair or group to spawn in one tank over a
// stated stretch of time.
type Attempt struct {
	ID               string
	Keeper           string
	System           string // the tank, or tanks that share water
	Species          string // accepted scientific name
	SpeciesAsWritten string
	Began, Ended     When
	Spawned          Truth
	SpawnedAt        When
	Males            Count
	Females          Count
	Unsexed          Count
	TemperatureC     Number
	PH               Number
	ConductivityUS   Number // µS/cm at 25 °C
	GH, KH           Number // German degrees
	NitrateMgL       Number
	LightHours       Number
	ConditioningDays Number
	LiveFood         Truth
	Microfauna       Truth
	LeafLitter       Truth
	WaterChangePct   Number
	RefillDeltaC     Number // refill minus tank; negative = cooler
	LevelChangeCm    Number // negative = lowered
	Flow             Truth
	Rearranged       Truth
	Dither           Truth
	TankMates        Truth
	PressureChange   Number // hPa over the 24 h before; negative = fall
	Notes            string
	Source           Source
	Own              map[string]Number // a club's own triggers, by column name; yes/no as 1 and 0
}

// A Clutch is the eggs of one spawning.
//
// From and To bracket an event: it happened after the last check without it and
// by the first check with it.
type Clutch struct {
	ID                 string
	AttemptID          string
	Keeper             string
	System             string
	Species            string
	LaidFrom, LaidTo   When
	Eggs               Count // the number, or the middle of a range
	EggsLow, EggsHigh  Count
	EggsMethod         string // counted, photo, sample, estimated
	SampleFraction     Number // share of the clutch that was counted, 0 to 1
	Fertile            Count
	Hatched            Count
	FreeSwimming       Count
	HatchFrom, HatchTo When
	SwimFrom, SwimTo   When
	LostAt             When
	Loss               string // controlled list, see Losses
	LastSeen           When
	Females            Count
	TemperatureC       Number
	HatchAid           string
	Notes              string
	Source             Source
}

// A Reading is one dated measurement.
type Reading struct {
	Keeper   string
	System   string
	Place    string
	At       When
	Quantity string // air_pressure_hpa, temperature_c, conductivity_us_cm, ph, water_level_cm, light_lux, ...
	Value    Number
	Source   Source
}

// An Action is one dated act of husbandry.
type Action struct {
	Keeper string
	System string
	At     When
	Action string // water_change, feed_live, rearrange, light_change, level_change, flow, add_fish, remove_fish, medicine, ...
	Amount Number
	Unit   string
	Source Source
}

// A SourceSheet says what became of one sheet of one file: the ledger's row.
type SourceSheet struct {
	File      string
	SHA256    string
	Bytes     int64
	Sheet     string
	Layout    string // row-per-attempt, logger, ...; empty when nothing could be read
	HeaderRow Count
	Rows      int64  // rows read
	Used      int64  // rows that are in a table
	SetAside  int64  // rows kept in set-aside/
	Skipped   int64  // header, blank, repeated, total and duplicate rows
	Mapping   string // each heading and the column it went to
}

// Tables is everything that a club's logs say.
type Tables struct {
	Attempts []Attempt
	Clutches []Clutch
	Readings []Reading
	Actions  []Action
	Problems []problem.Problem
	Sources  []SourceSheet
}

// Losses is the controlled list of causes of loss. RemovedDeliberately ends the
// watching of a clutch without being a death.
var Losses = []string{
	"infertile", "fungus", "eaten by parents", "eaten by others", "fry eaten", RemovedDeliberately,
	"failed to hatch", "deformed", "starved", "equipment", "disease", "jumped", "sibling predation",
	"unknown", "lost count",
}

// RemovedDeliberately is the cause of loss that is no death.
const RemovedDeliberately = "removed deliberately"

// EggsMethods is the controlled list of ways in which eggs were counted.
var EggsMethods = []string{"counted", "photo", "sample", "estimated"}

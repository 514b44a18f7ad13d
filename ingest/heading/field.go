package heading

import (
	"slices"

	"gravid/ingest/unit"
)

// A Field is what a column of a log holds. Its text is the name that mapping
// files use, and that of the tables' column where there is one.
type Field string

// The fields that have a column of the tables, or from which one follows.
const (
	None             Field = "" // not known: kept in the notes
	AttemptID        Field = "attempt_id"
	Keeper           Field = "keeper"
	System           Field = "system"
	Species          Field = "species"
	Began            Field = "began"
	Ended            Field = "ended"
	Spawned          Field = "spawned"
	SpawnedAt        Field = "spawned_at"
	Date             Field = "date"      // of a row, without saying of what
	Time             Field = "time"      // clock time that goes with Date
	Timestamp        Field = "timestamp" // date and clock time at which a row was written or measured
	Males            Field = "males"
	Females          Field = "females"
	Unsexed          Field = "unsexed"
	Group            Field = "group" // 2.3, trio
	Temperature      Field = "temperature_c"
	RoomTemp         Field = "room_temperature_c"
	PH               Field = "ph"
	Conductivity     Field = "conductivity_us_cm"
	GH               Field = "gh_dh"
	KH               Field = "kh_dh"
	Nitrate          Field = "nitrate_mg_l"
	Oxygen           Field = "oxygen_mg_l"
	AirPressure      Field = "air_pressure_hpa"
	PressureChange   Field = "pressure_change_hpa"
	LightHours       Field = "light_hours"
	LightLevel       Field = "light_lux"
	ConditioningDays Field = "conditioning_days"
	LiveFood         Field = "live_food"
	Microfauna       Field = "microfauna"
	LeafLitter       Field = "leaf_litter"
	WaterChangePct   Field = "water_change_pct"
	WaterChangeVol   Field = "water_change_l"       // volume of the water changed
	RefillDelta      Field = "refill_delta_c"       // refill minus tank
	RefillTemp       Field = "refill_temperature_c" // the refill itself
	LevelChange      Field = "level_change_cm"
	WaterLevel       Field = "water_level_cm"
	Flow             Field = "flow"
	Rearranged       Field = "rearranged"
	Dither           Field = "dither"
	TankMates        Field = "tank_mates"
	MatesRemoved     Field = "mates_removed"
	Eggs             Field = "eggs"
	EggsMethod       Field = "eggs_method"
	Fertile          Field = "fertile"
	Unviable         Field = "unviable" // eggs that are not among Fertile
	Hatched          Field = "hatched"
	FreeSwimming     Field = "free_swimming"
	HatchDate        Field = "hatch_to"
	SwimDate         Field = "swim_to"
	LostAt           Field = "lost_at"
	Loss             Field = "loss"
	LastSeen         Field = "last_seen"
	HatchAid         Field = "hatch_aid"
	HatchAfter       Field = "hatch_after_days"      // from laying
	SwimAfter        Field = "swim_after_days"       // from laying
	SwimAfterHatch   Field = "swim_after_hatch_days" // from hatching
	Action           Field = "action"                // what was done or seen, in words
	Amount           Field = "amount"                // of an action
	AmountUnit       Field = "amount_unit"
	ReadingOf        Field = "reading_of"          // the quantity that a row measures, in words
	PressureBefore   Field = "pressure_before_hpa" // air pressure at the beginning of a change
	PressureAfter    Field = "pressure_after_hpa"  // and at its end
	Notes            Field = "notes"
)

// The fields that keepers record and no table has room for. Their cells are
// text and go to the notes.
const (
	CommonName         Field = "common_name"
	TankVolume         Field = "tank_volume"
	Strain             Field = "strain"
	Generation         Field = "generation"
	FemaleID           Field = "female_id"
	MaleID             Field = "male_id"
	SampleFraction     Field = "sample_fraction"
	FertileRate        Field = "fertile_rate"
	HatchRate          Field = "hatch_rate"
	EggsFungused       Field = "eggs_fungused"
	EyedDate           Field = "eyed_date"
	EggsEyed           Field = "eggs_eyed"
	FirstFeedDate      Field = "first_feed_date"
	FirstFood          Field = "first_food"
	Survivors          Field = "survivors"
	Deaths             Field = "deaths"
	SpawningSite       Field = "spawning_site"
	IncubationMethod   Field = "incubation_method"
	TempChange         Field = "temp_change"
	OutsideTemperature Field = "outside_temperature"
	TDS                Field = "tds"
	PressureTrend      Field = "pressure_trend"
	Weather            Field = "weather"
	WaterSource        Field = "water_source"
	Dimming            Field = "dimming"
	Moon               Field = "moon"
	Food               Field = "food"
	Established        Field = "established"
	Tannins            Field = "tannins"
	Separated          Field = "separated"
	TankChange         Field = "tank_change"
	CoSpawning         Field = "co_spawning"
	Medication         Field = "medication"
	Salinity           Field = "salinity"
	Ammonia            Field = "ammonia"
	Nitrite            Field = "nitrite"
	EggDiameter        Field = "egg_diameter"
	FemaleLength       Field = "female_length"
	FemaleWeight       Field = "female_weight"
)

// The fields of a club's own triggers; Column.Own says which trigger.
const (
	OwnAnswer Field = "own answer" // yes or no
	OwnNumber Field = "own number"
)

// A Kind says how the cells of a field are read.
type Kind uint8

const (
	KindText    Kind = iota // as written
	KindDate                // a date, with or without a clock time
	KindClock               // a time of day
	KindMeasure             // a number of Field.Quantity
	KindCount               // a whole number of things
	KindYesNo
	KindGroup // the fish of an attempt, with their sexes
)

// A declaration is what is known of a field.
type declaration struct {
	field    Field
	kind     Kind
	quantity unit.Quantity
}

// declared are all fields that headings can mean.
var declared = slices.Concat(
	of(KindText, AttemptID, Keeper, System, Species, EggsMethod, Loss, HatchAid, Action, AmountUnit, ReadingOf, Notes),
	of(KindDate, Began, Ended, SpawnedAt, Date, Timestamp, HatchDate, SwimDate, LostAt, LastSeen),
	of(KindClock, Time),
	of(KindYesNo, Spawned, LiveFood, Microfauna, LeafLitter, Flow, Rearranged, Dither, TankMates, MatesRemoved),
	of(KindCount, Males, Females, Unsexed, Eggs, Fertile, Unviable, Hatched, FreeSwimming),
	of(KindGroup, Group),
	[]declaration{
		{Temperature, KindMeasure, unit.Temperature},
		{RoomTemp, KindMeasure, unit.Temperature},
		{RefillTemp, KindMeasure, unit.Temperature},
		{RefillDelta, KindMeasure, unit.TempDiff},
		{PH, KindMeasure, unit.Acidity},
		{Conductivity, KindMeasure, unit.Conductivity},
		{GH, KindMeasure, unit.GH},
		{KH, KindMeasure, unit.KH},
		{Nitrate, KindMeasure, unit.Concentration},
		{Oxygen, KindMeasure, unit.Concentration},
		{AirPressure, KindMeasure, unit.Pressure},
		{PressureChange, KindMeasure, unit.PressureDiff},
		{PressureBefore, KindMeasure, unit.Pressure},
		{PressureAfter, KindMeasure, unit.Pressure},
		{LightHours, KindMeasure, unit.Hours},
		{LightLevel, KindMeasure, unit.Illuminance},
		{ConditioningDays, KindMeasure, unit.Days},
		{WaterChangePct, KindMeasure, unit.Share},
		{WaterChangeVol, KindMeasure, unit.Volume},
		{LevelChange, KindMeasure, unit.Length},
		{WaterLevel, KindMeasure, unit.Length},
		{HatchAfter, KindMeasure, unit.Days},
		{SwimAfter, KindMeasure, unit.Days},
		{SwimAfterHatch, KindMeasure, unit.Days},
		{Amount, KindMeasure, unit.None},
	},
	of(KindText, CommonName, TankVolume, Strain, Generation, FemaleID, MaleID, SampleFraction, FertileRate, HatchRate,
		EggsFungused, EyedDate, EggsEyed, FirstFeedDate, FirstFood, Survivors, Deaths, SpawningSite, IncubationMethod,
		TempChange, OutsideTemperature, TDS, PressureTrend, Weather, WaterSource, Dimming, Moon, Food, Established,
		Tannins, Separated, TankChange, CoSpawning, Medication, Salinity, Ammonia, Nitrite, EggDiameter, FemaleLength,
		FemaleWeight),
)

func of(kind Kind, fields ...Field) []declaration {
	var out []declaration
	for _, f := range fields {
		out = append(out, declaration{f, kind, unit.None})
	}
	return out
}

// byField finds a declaration.
var byField = func() map[Field]declaration {
	m := map[Field]declaration{
		OwnAnswer: {OwnAnswer, KindYesNo, unit.None},
		OwnNumber: {OwnNumber, KindMeasure, unit.None},
	}
	for _, d := range declared {
		m[d.field] = d
	}
	return m
}()

// UnitIn is the unit of a quantity that a heading states, wherever in it; zero where
// it states none.
func UnitIn(text string, q unit.Quantity) unit.Unit { return unitIn(text, q) }

// String gives the name of the field as mapping files write it, and nothing for
// None.
func (f Field) String() string { return string(f) }

// Kind says how cells of the field are read; KindText for None.
func (f Field) Kind() Kind { return byField[f].kind }

// Quantity is what a field of KindMeasure measures, and unit.None for all others
// and for the numbers of a club's own triggers.
func (f Field) Quantity() unit.Quantity { return byField[f].quantity }

// Lookup finds a field by the name that String gives.
func Lookup(name string) (Field, bool) {
	f := Field(name)
	if _, ok := byField[f]; !ok || f == OwnAnswer || f == OwnNumber {
		return None, false
	}
	return f, true
}

// Names are the names that Lookup knows, those of the tables' columns first.
func Names() []string {
	var names []string
	for _, d := range declared {
		names = append(names, string(d.field))
	}
	return names
}

package club

import (
	"strings"

	"gravid/ingest/problem"
)

// SchemaVersion is the version of the tables' columns. It grows whenever stored
// tables of an older program can no longer be read.
const SchemaVersion = 2

// The names of the tables, in the order in which they are listed everywhere.
const (
	TableAttempts = "attempts"
	TableClutches = "clutches"
	TableReadings = "readings"
	TableActions  = "actions"
	TableProblems = "problems"
	TableSources  = "sources"
)

// Schemas returns the tables and their columns. This list is the only place
// where columns are named: files, exports, documentation and checks follow it.
//
// own are the columns of a club's own triggers (see Config.Own); they come last
// in attempts.
func Schemas(own ...Column) []Schema {
	return []Schema{
		schema(TableAttempts, "chances given to a pair or group to spawn in one tank over a stated stretch of time",
			append(attemptFields(), ownFields(own)...),
			func(t *Tables) *[]Attempt { return &t.Attempts }, undeclared(own)),
		schema(TableClutches, "the eggs of single spawnings; an event lies after its _from (last check without it) and at the latest at its _to (first check with it)",
			clutchFields(),
			func(t *Tables) *[]Clutch { return &t.Clutches }, nil),
		schema(TableReadings, "single dated measurements",
			readingFields(),
			func(t *Tables) *[]Reading { return &t.Readings }, nil),
		schema(TableActions, "single dated acts of husbandry",
			actionFields(),
			func(t *Tables) *[]Action { return &t.Actions }, nil),
		schema(TableProblems, "everything in the logs that could not be taken as written, with what to do",
			problemFields(),
			func(t *Tables) *[]problem.Problem { return &t.Problems }, nil),
		schema(TableSources, "the sheets that were read and what became of their rows",
			sourceFields(),
			func(t *Tables) *[]SourceSheet { return &t.Sources }, nil),
	}
}

func attemptFields() []field[Attempt] {
	type T = Attempt
	return append([]field[T]{
		text("attempt_id", "dwc:eventID", "name of the attempt, unique in the club", func(a *T) *string { return &a.ID }),
		text("keeper", "dwc:recordedBy", "who kept the fish and wrote the log", func(a *T) *string { return &a.Keeper }),
		text("system", "dwc:locationID", "the tank, or the tanks that share water", func(a *T) *string { return &a.System }),
		text("species", "dwc:scientificName", "accepted scientific name", func(a *T) *string { return &a.Species }),
		text("species_as_written", "dwc:verbatimIdentification", "the species as the keeper wrote it", func(a *T) *string { return &a.SpeciesAsWritten }),
		when("began", "dwc:eventDate", "start of the attempt", func(a *T) *When { return &a.Began }),
		when("ended", "dwc:eventDate", "end of the attempt, whether it spawned or was given up", func(a *T) *When { return &a.Ended }),
		truth("spawned", "whether the fish spawned", func(a *T) *Truth { return &a.Spawned }),
		when("spawned_at", "", "when the spawning was first seen", func(a *T) *When { return &a.SpawnedAt }),
		count("males", "", "males in the group", func(a *T) *Count { return &a.Males }),
		count("females", "", "females in the group", func(a *T) *Count { return &a.Females }),
		count("unsexed", "", "fish of unknown sex in the group", func(a *T) *Count { return &a.Unsexed }),
		number("temperature_c", "Cel", "", "water temperature", func(a *T) *Number { return &a.TemperatureC }),
		number("ph", "[pH]", "", "acidity of the water", func(a *T) *Number { return &a.PH }),
		number("conductivity_us_cm", "uS/cm", "", "electrical conductivity of the water at 25 °C", func(a *T) *Number { return &a.ConductivityUS }),
		number("gh_dh", germanDegree, "", "general hardness in German degrees", func(a *T) *Number { return &a.GH }),
		number("kh_dh", germanDegree, "", "carbonate hardness in German degrees", func(a *T) *Number { return &a.KH }),
		number("nitrate_mg_l", "mg/L", "", "nitrate as NO3", func(a *T) *Number { return &a.NitrateMgL }),
		number("light_hours", "h", "", "hours of light a day", func(a *T) *Number { return &a.LightHours }),
		number("conditioning_days", "d", "", "days of richer feeding before the attempt", func(a *T) *Number { return &a.ConditioningDays }),
		truth("live_food", "whether live food was fed", func(a *T) *Truth { return &a.LiveFood }),
		truth("microfauna", "whether the tank held visible microfauna", func(a *T) *Truth { return &a.Microfauna }),
		truth("leaf_litter", "whether leaf litter or other sources of tannins lay in the tank", func(a *T) *Truth { return &a.LeafLitter }),
		number("water_change_pct", "%", "", "share of the water that was changed", func(a *T) *Number { return &a.WaterChangePct }),
		number("refill_delta_c", "K", "", "temperature of the refill less that of the tank; negative = cooler", func(a *T) *Number { return &a.RefillDeltaC }),
		number("level_change_cm", "cm", "", "change of the water level; negative = lowered", func(a *T) *Number { return &a.LevelChangeCm }),
		truth("flow", "whether there was a current", func(a *T) *Truth { return &a.Flow }),
		truth("rearranged", "whether the tank was rearranged", func(a *T) *Truth { return &a.Rearranged }),
		truth("dither", "whether dither fish were present", func(a *T) *Truth { return &a.Dither }),
		truth("tank_mates", "whether other fish shared the tank", func(a *T) *Truth { return &a.TankMates }),
		number("pressure_change_hpa", "hPa", "", "change of air pressure over the 24 hours before; negative = fall", func(a *T) *Number { return &a.PressureChange }),
		text("notes", "dwc:eventRemarks", "remarks, and the text of columns nobody knew", func(a *T) *string { return &a.Notes }),
	}, fromSource(func(a *T) *Source { return &a.Source })...)
}

func clutchFields() []field[Clutch] {
	type T = Clutch
	return append([]field[T]{
		text("clutch_id", "dwc:eventID", "name of the clutch, unique in the club", func(c *T) *string { return &c.ID }),
		text("attempt_id", "dwc:parentEventID", "the attempt that the clutch came from", func(c *T) *string { return &c.AttemptID }),
		text("keeper", "dwc:recordedBy", "who kept the fish and wrote the log", func(c *T) *string { return &c.Keeper }),
		text("system", "dwc:locationID", "the tank, or the tanks that share water", func(c *T) *string { return &c.System }),
		text("species", "dwc:scientificName", "accepted scientific name", func(c *T) *string { return &c.Species }),
		when("laid_from", "dwc:eventDate", "last check without the eggs", func(c *T) *When { return &c.LaidFrom }),
		when("laid_to", "dwc:eventDate", "first check with the eggs", func(c *T) *When { return &c.LaidTo }),
		count("eggs", "dwc:individualCount", "number of eggs, or the middle of a range", func(c *T) *Count { return &c.Eggs }),
		count("eggs_low", "", "lowest number of eggs that the record allows", func(c *T) *Count { return &c.EggsLow }),
		count("eggs_high", "", "highest number of eggs that the record allows", func(c *T) *Count { return &c.EggsHigh }),
		listed("eggs_method", "dwc:measurementMethod", "how the eggs were counted", EggsMethods, func(c *T) *string { return &c.EggsMethod }),
		number("sample_fraction", "1", "", "share of the clutch that was counted, 0 to 1", func(c *T) *Number { return &c.SampleFraction }),
		count("fertile", "", "fertile eggs", func(c *T) *Count { return &c.Fertile }),
		count("hatched", "", "larvae hatched", func(c *T) *Count { return &c.Hatched }),
		count("free_swimming", "", "fry swimming freely", func(c *T) *Count { return &c.FreeSwimming }),
		when("hatch_from", "", "last check before the hatch", func(c *T) *When { return &c.HatchFrom }),
		when("hatch_to", "", "first check after the hatch", func(c *T) *When { return &c.HatchTo }),
		when("swim_from", "", "last check before the fry swam freely", func(c *T) *When { return &c.SwimFrom }),
		when("swim_to", "", "first check with free-swimming fry", func(c *T) *When { return &c.SwimTo }),
		when("lost_at", "", "when the clutch was lost", func(c *T) *When { return &c.LostAt }),
		listed("loss", "dwc:causeOfDeath", "why the clutch was lost", Losses, func(c *T) *string { return &c.Loss }),
		when("last_seen", "", "last check at which the clutch was there", func(c *T) *When { return &c.LastSeen }),
		count("females", "", "females that can have laid the clutch", func(c *T) *Count { return &c.Females }),
		number("temperature_c", "Cel", "", "water temperature while the clutch developed", func(c *T) *Number { return &c.TemperatureC }),
		text("hatch_aid", "", "what was done to help the hatch", func(c *T) *string { return &c.HatchAid }),
		text("notes", "dwc:eventRemarks", "remarks, and the text of columns nobody knew", func(c *T) *string { return &c.Notes }),
	}, fromSource(func(c *T) *Source { return &c.Source })...)
}

func readingFields() []field[Reading] {
	type T = Reading
	return append([]field[T]{
		text("keeper", "dwc:measurementDeterminedBy", "whose log or logger measured", func(r *T) *string { return &r.Keeper }),
		text("system", "dwc:locationID", "the tank, or the tanks that share water; null for a reading of a place", func(r *T) *string { return &r.System }),
		text("place", "dwc:locality", "the place that a reading of the weather holds for", func(r *T) *string { return &r.Place }),
		when("at", "dwc:measurementDeterminedDate", "when it was measured", func(r *T) *When { return &r.At }),
		text("quantity", "dwc:measurementType", "what was measured, with its unit in the name: air_pressure_hpa, temperature_c, conductivity_us_cm, ph, water_level_cm, light_lux, ...", func(r *T) *string { return &r.Quantity }),
		number("value", "", "dwc:measurementValue", "the value measured, in the unit that the quantity names", func(r *T) *Number { return &r.Value }),
	}, fromSource(func(r *T) *Source { return &r.Source })...)
}

func actionFields() []field[Action] {
	type T = Action
	return append([]field[T]{
		text("keeper", "dwc:recordedBy", "who did it", func(a *T) *string { return &a.Keeper }),
		text("system", "dwc:locationID", "the tank, or the tanks that share water", func(a *T) *string { return &a.System }),
		when("at", "dwc:eventDate", "when it was done", func(a *T) *When { return &a.At }),
		text("action", "dwc:eventType", "what was done: water_change, feed_live, rearrange, light_change, level_change, flow, add_fish, remove_fish, medicine, ...", func(a *T) *string { return &a.Action }),
		number("amount", "", "dwc:measurementValue", "how much, in the unit beside it", func(a *T) *Number { return &a.Amount }),
		text("unit", "dwc:measurementUnit", "UCUM code of the amount's unit", func(a *T) *string { return &a.Unit }),
	}, fromSource(func(a *T) *Source { return &a.Source })...)
}

func problemFields() []field[problem.Problem] {
	type T = problem.Problem
	severities := []string{string(problem.Error), string(problem.Warning), string(problem.Note)}
	return []field[T]{
		listed("severity", "", "what became of the value (error = not used, warning = used, note = decided by the program)", severities, func(p *T) *string { return (*string)(&p.Severity) }),
		text("code", "", "stable name of this kind of problem", func(p *T) *string { return (*string)(&p.Code) }),
		text("file", "", "log inside the club's logs folder", func(p *T) *string { return &p.Place.File }),
		text("sheet", "", "sheet of the workbook; null for text files", func(p *T) *string { return &p.Place.Sheet }),
		rowNumber("row", "row as the program that made the file shows it, from 1; null = the whole file or sheet", func(p *T) *int { return &p.Place.Row }),
		textBy("column", "", "letters of the column, and in brackets its heading as written", problemColumn, setProblemColumn),
		text("value", "", "the value as written", func(p *T) *string { return &p.Value }),
		text("message", "", "what is wrong", func(p *T) *string { return &p.Message }),
		text("fix", "", "what to do about it, where possible a line for the mapping file", func(p *T) *string { return &p.Fix }),
		size("more", "1", "how many further problems of this kind the row stands for, where a log has too many to be told one by one", func(p *T) *int { return &p.More }),
	}
}

func sourceFields() []field[SourceSheet] {
	type T = SourceSheet
	return []field[T]{
		text("file", "", "log inside the club's logs folder", func(s *T) *string { return &s.File }),
		text("sha256", "", "SHA-256 of the file's content; its copy in sources/ has this name", func(s *T) *string { return &s.SHA256 }),
		size("bytes", "By", "size of the file", func(s *T) *int64 { return &s.Bytes }),
		text("sheet", "", "sheet of the workbook; null for text files", func(s *T) *string { return &s.Sheet }),
		text("layout", "", "how the sheet is laid out; null when nothing could be read", func(s *T) *string { return &s.Layout }),
		count("header_row", "", "row that holds the headings, from 1", func(s *T) *Count { return &s.HeaderRow }),
		size("rows", "1", "rows read: used, set aside and skipped together", func(s *T) *int64 { return &s.Rows }),
		size("used", "1", "rows that are in a table", func(s *T) *int64 { return &s.Used }),
		size("set_aside", "1", "rows kept in set-aside/", func(s *T) *int64 { return &s.SetAside }),
		size("skipped", "1", "header, blank, repeated, total and duplicate rows", func(s *T) *int64 { return &s.Skipped }),
		text("mapping", "", "each heading and the column it went to", func(s *T) *string { return &s.Mapping }),
	}
}

// germanDegree is one German degree of hardness: 10 mg of CaO in a litre. UCUM
// has no code of its own for it.
const germanDegree = "10.mg{CaO}/L"

// fromSource makes the columns that lead back to the log.
func fromSource[T any](at func(*T) *Source) []field[T] {
	return []field[T]{
		text("source_file", "", "log that the row came from, inside the club's logs folder", func(row *T) *string { return &at(row).File }),
		text("source_sheet", "", "sheet of the workbook; null for text files", func(row *T) *string { return &at(row).Sheet }),
		rowNumber("source_row", "row of the log as the program that made it shows it, from 1", func(row *T) *int64 { return &at(row).Row }),
	}
}

// problemColumn puts letters and heading of a problem's column into one text:
// "B (Temp °C)", "B", or "(Temp °C)".
func problemColumn(p *problem.Problem) string {
	letters, head := p.Place.Column, p.Place.Head
	switch {
	case head == "":
		return letters
	case letters == "":
		return "(" + head + ")"
	}
	return letters + " (" + head + ")"
}

func setProblemColumn(p *problem.Problem, s string) {
	letters, head, found := strings.Cut(s, "(")
	p.Place.Column = strings.TrimSuffix(letters, " ")
	if found {
		p.Place.Head = strings.TrimSuffix(head, ")")
	}
}

// ownFields makes the columns of a club's own triggers.
func ownFields(own []Column) []field[Attempt] {
	fields := make([]field[Attempt], len(own))
	for i, c := range own {
		get := func(a *Attempt) Number { return a.Own[c.Name] }
		set := func(a *Attempt, n Number) {
			if !n.OK {
				return
			}
			if a.Own == nil {
				a.Own = map[string]Number{}
			}
			a.Own[c.Name] = n
		}
		if c.Kind == KindTruth {
			fields[i] = truthBy(c.Name, c.Description,
				func(a *Attempt) Truth { n := get(a); return Truth{V: n.V != 0, OK: n.OK} },
				func(a *Attempt, v Truth) {
					n := Number{OK: v.OK}
					if v.V {
						n.V = 1
					}
					set(a, n)
				})
		} else {
			fields[i] = numberBy(c.Name, c.Unit, c.Term, c.Description, get, set)
		}
		fields[i].Column = c
	}
	return fields
}

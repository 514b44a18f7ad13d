package heading

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// table makes rows of text: one line a row, cells between bars, numbered from 1.
func table(text string) []source.Row {
	var rows []source.Row
	for i, line := range strings.Split(strings.Trim(text, "\n"), "\n") {
		r := source.Row{Number: i + 1}
		for _, c := range strings.Split(line, "|") {
			c = strings.TrimSpace(c)
			k := source.Text
			if c == "" {
				k = source.Blank
			}
			r.Cells = append(r.Cells, source.Cell{Kind: k, Text: c})
		}
		rows = append(rows, r)
	}
	return rows
}

func fieldsOf(h Header) string {
	var out []string
	for _, c := range h.Columns {
		s := string(c.Field)
		if s == "" {
			s = "-"
		}
		if c.Unit.Code != "" && c.Field != PH { // pH has one unit
			s += "[" + c.Unit.Code + "]"
		}
		if c.Falls {
			s += "(falls)"
		}
		if c.Own != "" {
			s += "=" + c.Own
		}
		out = append(out, s)
	}
	return strings.Join(out, " ")
}

func codes(ps []problem.Problem) []problem.Code {
	var out []problem.Code
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return out
}

func TestHeaderBelowTitles(t *testing.T) {
	h, ps := FindHeader(table(`
Breeding log 2024
Keeper: Ana | | Place: Lindenfurt
Tank 4

Species | Set up | Spawned? | Eggs | Hatched | Mood | Temp (°F)
Danio rerio | 2024-03-01 | yes | 120 | 2024-03-05 | glad | 77
Danio rerio | 2024-03-11 | no | | | so so | 78
`), Options{})
	require.Equal(t, 5, h.Row)
	require.Equal(t, 6, h.First)
	require.Zero(t, h.Group+h.Units)
	require.Equal(t, "en", h.Language)
	require.Equal(t, map[string]string{"keeper": "Ana", "place": "Lindenfurt", "system": "Tank 4", "year": "2024"}, h.Titles)
	require.Equal(t, "species began spawned eggs hatch_to - temperature_c[[degF]]", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.HeadingUnknown}, codes(ps))
	require.Equal(t, problem.Place{Row: 5, Column: "F", Head: "Mood"}, ps[0].Place)
	require.Equal(t, problem.Note, ps[0].Severity)
	require.Contains(t, ps[0].Message, `"glad", "so so"`)
}

func TestTitlesInNeighbouringCells(t *testing.T) {
	h, ps := FindHeader(table(`
Züchter | Corvin Weidacher | | Zeitzone | UTC
Becken: | 7
Art | angesetzt am | gelaicht | Eier
Skalar | 01.02.2024 | ja | 12
`), Options{})
	require.Equal(t, 3, h.Row)
	require.Zero(t, h.Group)
	require.Equal(t, map[string]string{"keeper": "Corvin Weidacher", "system": "7", "time_zone": "UTC"}, h.Titles)
	require.Equal(t, "de", h.Language)
	require.Empty(t, ps)

	h, ps = FindHeader(table(`
Keeper: Ana
Keeper: Ben
Time zone: CET
Species | Set up | Spawned | Eggs
Danio rerio | 2024-03-01 | yes | 120
`), Options{})
	require.Empty(t, h.Titles)
	require.ElementsMatch(t, []problem.Code{problem.Contradiction, problem.TimeUnreadable}, codes(ps))
}

func TestHeadingsInTwoRows(t *testing.T) {
	h, ps := FindHeader(table(`
Ablaichungen, alle Becken

Ansatz | | | Wasser | | Pflege | | Schlupf | | Jungfische
Becken | Art | Ansatz am | Temperatur (°C) | pH-Wert | Lebendfutter | Beifische | Datum | Anzahl | Anzahl
1 | Skalar | 01.02.2024 | 26,5 | 6,8 | ja | nein | 05.02.2024 | 120 | 80
`), Options{})
	require.Equal(t, []int{4, 3, 0, 5}, []int{h.Row, h.Group, h.Units, h.First})
	require.Equal(t, "system species began temperature_c[Cel] ph live_food dither hatch_to hatched free_swimming", fieldsOf(h))
	require.Empty(t, ps)
}

func TestHeadingsSpreadOverTwoRows(t *testing.T) {
	h, ps := FindHeader(table(`
Tank | Species | Set up | Water | | Eggs |
 | | | Temp (°C) | pH | Number | Fertile
1 | Danio rerio | 2024-01-02 | 25 | 7 | 100 | 90
`), Options{})
	require.Equal(t, []int{2, 1, 3}, []int{h.Row, h.Group, h.First})
	require.Equal(t, "system species began temperature_c[Cel] ph eggs fertile", fieldsOf(h))
	require.Empty(t, ps)
}

func TestMergedGroupsEndWhereTheyEnd(t *testing.T) {
	rows := table(`
 | | Hatch | | |
Tank | Species | date | n | date | pH
1 | Danio rerio | 2024-01-02 | 5 | 2024-01-01 | 7
`)
	for i := 2; i <= 3; i++ {
		rows[0].Cells[i].Merged = true
	}
	rows[0].Cells[0] = source.Cell{Kind: source.Text, Text: "Fish", Merged: true}
	rows[0].Cells[1].Merged = true
	h, ps := FindHeader(rows, Options{})
	require.Equal(t, "system species hatch_to hatched date ph", fieldsOf(h))
	require.Empty(t, ps)
}

// A date below a group that nobody knows is a date of something else.
func TestADateBelowAnUnknownGroupIsNoDateOfTheAttempt(t *testing.T) {
	h, ps := FindHeader(table(`
 | | | Photographs | | Water
Tank | Species | Set up | Date | Who | pH
1 | Danio rerio | 2024-01-02 | 2024-02-02 | Ben | 7
`), Options{})
	require.Equal(t, "system species began - - ph", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.HeadingUnknown, problem.HeadingUnknown}, codes(ps))
}

func TestRowOfUnits(t *testing.T) {
	h, ps := FindHeader(table(`
tank | fish | put together | temp | cond | GH | light hours | conditioning | water change | egg count | light | hatched
 | | | °C | [µS/cm] | °dH | h | days | % | n | lx | date
1 | zebra danio | 1 Jan 2024 | 25 | 200 | 5 | 12 | 7 | 30 | about 100 | 300 | 5 Jan 2024
`), Options{})
	require.Equal(t, []int{1, 2, 3}, []int{h.Row, h.Units, h.First})
	require.Equal(t, "system species began temperature_c[Cel] conductivity_us_cm[uS/cm] gh_dh[10.mg{CaO}/L] light_hours[h] conditioning_days[d] water_change_pct[%] eggs light_lux[lx] hatch_to", fieldsOf(h))
	require.Empty(t, ps)

	h, ps = FindHeader(table(`
tank | fish | temp (°C) | pH
 | | °F |
1 | zebra danio | 25 | 7
`), Options{})
	require.Equal(t, "system species - ph", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.UnitUnknown}, codes(ps))
}

func TestNoHeader(t *testing.T) {
	for name, text := range map[string]string{
		"data only":                         "Danio rerio | 2024-01-02 | yes | 120\nDanio rerio | 2024-02-02 | no | 0",
		"numbers only":                      "1 | 2 | 3\n4 | 5 | 6\n7 | 8 | 9",
		"one word":                          "Eggs\n12\n15",
		"letter":                            "Dear Ana\nthe fish are well | and so am I\nyours | Ben",
		"blank":                             " | \n | ",
		"cells that are headings elsewhere": "1 | fungus | pair | storm | 3.4.2024 | 12 | 14 | 4.4.2024",
	} {
		h, ps := FindHeader(table(text), Options{})
		require.Zero(t, h.Row, name)
		require.Empty(t, h.Columns, name)
		require.Empty(t, ps, name)
	}
	h, ps := FindHeader(nil, Options{})
	require.Zero(t, h.Row)
	require.Empty(t, ps)
}

func TestTwoTablesOnOneSheet(t *testing.T) {
	h, ps := FindHeader(table(`
Tank | Species | Set up | Spawned
1 | Danio rerio | 2024-01-02 | yes

Date | Time | Pressure (hPa)
2024-01-02 | 12:00 | 1013
`), Options{})
	require.Zero(t, h.Row)
	require.Equal(t, []problem.Code{problem.HeaderUnsure}, codes(ps))
	require.Contains(t, ps[0].Fix, "header_row = 1 or header_row = 4")

	h, ps = FindHeader(table(`
Tank | Species | Set up | Spawned
1 | Danio rerio | 2024-01-02 | yes

Tank | Species | Set up | Spawned
2 | Danio rerio | 2025-01-02 | no
`), Options{})
	require.Equal(t, 1, h.Row, "the headings again are no second table")
	require.Empty(t, ps)
}

func TestTwoRowsThatCouldBeTheHeadings(t *testing.T) {
	rows := table(`
Tank | Species | Temp (°C)
Becken | Art | pH
A | Danio rerio | warm
`)
	h, ps := FindHeader(rows, Options{})
	require.Zero(t, h.Row)
	require.Equal(t, []problem.Code{problem.HeaderUnsure}, codes(ps))

	h, _ = FindHeader(rows, Options{Row: 2})
	require.Equal(t, 2, h.Row)
	require.Equal(t, "system species ph", fieldsOf(h))

	h, ps = FindHeader(rows, Options{Row: 9})
	require.Zero(t, h.Row)
	require.Equal(t, []problem.Code{problem.HeaderUnsure}, codes(ps))
}

func TestCellsDecideWhatAHeadingAloneDoesNotTell(t *testing.T) {
	date, count, yes, mixed := "2024-03-05,?,2024-04-05", "120,~80,n/a", "yes,no,", "2024-03-05,120,yes"
	for _, c := range []struct {
		head, cells string
		want        Field
	}{
		{"Hatched", date, HatchDate}, {"Hatched", count, Hatched}, {"Hatched", yes, None}, {"Hatched", mixed, None}, {"Hatched", ",,", None},
		{"Schlupf", "5.3.2024,6.4.24", HatchDate}, {"Schlupf", "120,50-60", Hatched}, {"geschlüpft", "3.4.,5.6.", HatchDate}, {"Hatched", "0,1,1", Hatched},
		{"Spawn", date, SpawnedAt}, {"Spawn", yes, Spawned}, {"Spawn", count, None}, {"Spawn", mixed, None}, {"Spawned", "Y,N,not yet", Spawned}, {"spawned", "1,0,1", Spawned}, {"abgelaicht", "ja,nein,", Spawned}, {"abgelaicht", "1. März 2024,3. April 2024", SpawnedAt},
		{"Free swimming", date, SwimDate}, {"Free swimming", count, FreeSwimming}, {"Free swimming", yes, None}, {"FS", "lots,many", None},
		{"Eggs", count, Eggs}, {"Eggs", yes, None}, {"Eggs?", yes, Spawned}, {"Eggs laid", count, Eggs}, {"Eggs laid", date, SpawnedAt},
		{"Time", "12:30,7:00", Time}, {"Time", "2024-01-02 12:30,2024-01-02 13:30", Timestamp}, {"Time", "5,10,15", None},
		{"Loss", "fungus,eaten", Loss}, {"Loss", "3,12", Deaths}, {"Light", "12,14", None}, {"Clutch", "1,2,3", None},
		{"Live food", "yes,no", LiveFood}, {"Live food", "artemia,moina", None}, {"Water change", "yes,no", None}, {"Water change", "30,40", WaterChangePct},
		{"Set up", "3,4,5", None}, {"Set up", "31/02/2024", Began}, {"Group", "2.3,1.2", Group}, {"Group", "1,2,3", None}, {"Group", "trio,pair", Group},
		{"laid on", "glass,leaf", SpawningSite}, {"laid on", date, SpawnedAt}, {"Temp", "warm,cold", None}, {"Eggs", "3 psi", Eggs}, {"Name", "Ana,Ben", None},
	} {
		text := "Tank | Species | pH | " + c.head
		for _, cell := range strings.Split(c.cells, ",") {
			text += "\n1 | Danio rerio | 7 | " + cell
		}
		h, ps := FindHeader(table(text), Options{})
		require.Equal(t, 1, h.Row, text)
		require.Equal(t, c.want, h.Columns[3].Field, "%s: %s", c.head, c.cells)
		if c.want == None {
			require.Equal(t, []problem.Code{problem.HeadingUnknown}, codes(ps), text)
			require.Equal(t, problem.Warning, ps[0].Severity)
			require.Contains(t, ps[0].Fix, "is = ")
		} else {
			require.Empty(t, ps, text)
		}
	}
}

func TestStoredCellsDecide(t *testing.T) {
	day := source.Cell{Kind: source.Date, Text: "2024-03-05", Time: time.Date(2024, 3, 5, 0, 0, 0, 0, time.UTC)}
	number := source.Cell{Kind: source.Number, Text: "80", Number: 80}
	instant := source.Cell{Kind: source.Instant, Text: "2024-03-05 12:00", Time: time.Date(2024, 3, 5, 12, 0, 0, 0, time.UTC)}
	tick := source.Cell{Kind: source.Bool, Text: "TRUE", Number: 1}
	serial := source.Cell{Kind: source.Number, Text: "45000", Number: 45000}
	rows := table("Tank | Hatched | Free swimming | Time | Spawned | Set up\n1")
	rows[1].Cells = append(rows[1].Cells, day, number, instant, tick, serial)
	h, ps := FindHeader(rows, Options{})
	require.Equal(t, "system hatch_to free_swimming timestamp spawned began", fieldsOf(h))
	require.Empty(t, ps)
}

func TestLoggers(t *testing.T) {
	for text, want := range map[string]string{
		"Time,Pressure (hPa)\n2024-01-02 12:00,1013.2":                                  "timestamp air_pressure_hpa[hPa]",
		"Datum;Uhrzeit;Luftdruck\n02.01.2024;12:00;1013,2":                              "date time air_pressure_hpa",
		"Serial no;A17\nTimestamp (UTC);Temp [°F];RH (%)\n2024-01-02T12:00Z;75.2;40":    "timestamp temperature_c[[degF]] -",
		"Zeitstempel;Luftdruck (hPa);Raumtemperatur (°C)\n02.01.2024 12:00;1013,2;21,5": "timestamp air_pressure_hpa[hPa] room_temperature_c[Cel]",
		"date,time (local),conductivity (mS/cm),pH\n2024-01-02,12:00,0.2,7":             "date time conductivity_us_cm[mS/cm] ph",
		"timestamp,station pressure [inHg],battery\n2024-01-02 12:00,29.9,3.1":          "timestamp air_pressure_hpa[[in_i'Hg]] -",
	} {
		h, _ := FindHeader(table(strings.NewReplacer("1013,2", "1013,2", "21,5", "21,5", ";", "|", ",", "|").Replace(text)), Options{})
		require.Equal(t, want, fieldsOf(h), text)
		if strings.Contains(text, "UTC") {
			require.Equal(t, "UTC", h.Titles["time_zone"])
		}
	}
	h, ps := FindHeader(table("Time (CET) | Pressure (hPa)\n2024-01-02 12:00 | 1013.2"), Options{})
	require.Equal(t, "- air_pressure_hpa[hPa]", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.TimeUnreadable}, codes(ps))
	h, _ = FindHeader(table("Time (UTC) | Local time | Pressure (hPa)\n2024-01-02 12:00 | 13:00 | 1013.2"), Options{})
	require.Equal(t, "timestamp - air_pressure_hpa[hPa]", fieldsOf(h))
}

func TestTriggersOfAClubsOwn(t *testing.T) {
	o := Options{Own: map[string][]string{"rice-hulls": {"a handful of rice hulls", "rice-hulls", "hulls"}, "salt-dose": {"salt", "salt dose"}},
		OwnUnits: map[string]string{"salt-dose": "g"}}
	h, ps := FindHeader(table(`
Tank | Species | Set up | Rice hulls | Salt | Hulls
1 | Danio rerio | 2024-01-02 | yes | 5 | no
`), o)
	require.Equal(t, "system species began own answer=rice_hulls own number=salt_dose -", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.HeadingTwice}, codes(ps))

	o.OwnUnits["salt-dose"] = "Cel"
	h, ps = FindHeader(table("Tank | Species | Salt (°F)\n1 | Danio rerio | 5"), o)
	require.Equal(t, "system species -", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.UnitUnknown}, codes(ps))
}

func TestMisspeltAndForeign(t *testing.T) {
	h, ps := FindHeader(table("Tank | Speices | Temprature | Eggs | pH (psi)\n1 | Danio rerio | 25 | 100 | 7"), Options{})
	require.Equal(t, "system species temperature_c eggs -", fieldsOf(h))
	require.Equal(t, []problem.Code{problem.HeadingGuessed, problem.HeadingGuessed, problem.UnitUnknown}, codes(ps))

	_, ps = FindHeader(table("Tank | Speices | Temprature | Eggs | pH (psi)\n1 | Danio rerio | 25 | 100 | 7"), Options{Settled: []string{"Speices", "pH (psi)"}})
	require.Equal(t, []problem.Code{problem.HeadingGuessed}, codes(ps))
}

func TestACommonNameIsANameOfTheSpecies(t *testing.T) {
	h, _ := FindHeader(table("Tank | Common name | Set up | Eggs\n1 | zebra danio | 2024-01-02 | 100"), Options{})
	require.Equal(t, "system species began eggs", fieldsOf(h))
	h, _ = FindHeader(table("Tank | Common name | Species | Eggs\n1 | zebra danio | Danio rerio | 100"), Options{})
	require.Equal(t, "system common_name species eggs", fieldsOf(h))
}

// Headings of logs in English and German with cells as keepers write them; what
// they mean is set by hand.
func TestRealisticLogs(t *testing.T) {
	for _, c := range []struct{ heads, cells, want string }{
		{"no.|tank|species|group|set up|ended|spawned?|spawn date|temp (°C)|pH|conductivity (µS/cm)|GH (°dH)|light hours|conditioning (days)|live food|leaf litter|water change (%)|refill difference (°C)|dither fish|eggs|fertile|hatch date|no. hatched|free swimming|fry|cause of loss|lost on|last check|notes",
			"1|A1|Danio rerio|2.3|2024-01-02|2024-01-09|yes|2024-01-03|25.1|7|200|5|12|7|yes|no|30|-2.5|no|~120|100|2024-01-05|90|2024-01-09|60|fungus|2024-01-10|2024-01-11|calm",
			"attempt_id system species group began ended spawned spawned_at temperature_c[Cel] ph conductivity_us_cm[uS/cm] gh_dh[10.mg{CaO}/L] light_hours[h] conditioning_days[d] live_food leaf_litter water_change_pct[%] refill_delta_c[K] dither eggs fertile hatch_to hatched swim_to free_swimming loss lost_at last_seen notes"},
		{"Nr.|Becken|Art|Männchen|Weibchen|angesetzt am|abgebrochen am|gelaicht|Laichdatum|Temp. (°C)|pH-Wert|Leitwert (µS/cm)|KH (°dH)|Lebendfutter|Konditionierung (Tage)|Wasserwechsel (%)|Temp. Frischwasser (°C)|Eier|befruchtet|Schlupf am|Anz. geschlüpft|freischwimmend am|Jungfische|Verlustursache|letzte Kontrolle|Bemerkungen",
			"1|B1|Skalar|1|2|1.2.2024|3.2.2024|ja|2.2.2024|26,5|6,8|200|4|ja|7|30|22,5|ca. 100|80|5.2.2024|70|9.2.2024|60|verpilzt|9.2.2024|ruhig",
			"attempt_id system species males females began ended spawned spawned_at temperature_c[Cel] ph conductivity_us_cm[uS/cm] kh_dh[10.mg{CaO}/L] live_food conditioning_days[d] water_change_pct[%] refill_temperature_c[Cel] eggs fertile hatch_to hatched swim_to free_swimming loss last_seen notes"},
		{"Becken|Fischart|Zuchtgruppe|eingesetzt am|beendet am|abgelaicht?|abgelaicht am|Gesamthärte (°dH)|Beleuchtung (h)|Seemandelbaumblätter|Mikrofauna|Beifische|WW (%)|Luftdruckänderung (hPa)|Anzahl Eier|Zählmethode|befr.|geschlüpft am|Larven|freischwimmend|Anz. Jungfische|Verlust|verloren am|Notizen",
			"K1|Skalar|2.3|01.02.2024|05.02.2024|j|02.02.2024|5|12|j|n|n|30|-4,5|120|gezählt|100|05.02.2024|90|09.02.2024|60|verpilzt|07.02.2024|Gewitter",
			"system species group began ended spawned spawned_at gh_dh[10.mg{CaO}/L] light_hours[h] leaf_litter microfauna dither water_change_pct[%] pressure_change_hpa[hPa] eggs eggs_method fertile hatch_to hatched swim_to free_swimming loss lost_at notes"},
		{"Tank|Species|Males|Females|Start date|Given up on|Spawned|Date spawned|Water temp (°C)|EC (µS/cm)|GH (dGH)|KH (dKH)|NO3 (mg/L)|Photoperiod (h)|Conditioned (days)|Flow|WC (%)|New water temp (°C)|Level change (cm)|Counted how|Fertilised|Hatched on|Hatchlings|FS date|Fry count|What went wrong",
			"1|Danio rerio|2|3|2024-01-02|2024-01-09|Y|2024-01-03|25|200|5|4|10|12|7|Y|30|22|-5|photo|100|2024-01-05|90|2024-01-09|60|all fungused",
			"system species males females began ended spawned spawned_at temperature_c[Cel] conductivity_us_cm[uS/cm] gh_dh[10.mg{CaO}/L] kh_dh[10.mg{CaO}/L] nitrate_mg_l[mg/L] light_hours[h] conditioning_days[d] flow water_change_pct[%] refill_temperature_c[Cel] level_change_cm[cm] eggs_method fertile hatch_to hatched swim_to free_swimming loss"},
		{"tank|fish|breeders|put together|success|date laid|infusoria|rearranged|tank mates|egg count|good eggs|hatched|wrigglers|swim up|no. fry|losses|remarks",
			"left|zebra danio|2m3f|2 Jan 2024|not yet|3 Jan 2024|y|n|n|about 120|100|5 Jan 2024|90|9 Jan 2024|60|fungus|calm",
			"system species group began spawned spawned_at microfauna rearranged tank_mates eggs fertile hatch_to hatched swim_to free_swimming loss notes"},
		{"Becken|Art|Anz. Männchen|Anz. Weibchen|Ansatz am|abgelaicht|abgelaicht am|Frischwasser minus Becken (°C)|Strömung|Eierzahl|Schlupfdatum|Schlupfzahl|schwimmen frei|Jungfische|Anmerkung|Laub|zusammengesetzt|Freischwimmen|Ausfall",
			"F1|Skalar|1|1|01.02.2024|ja|02.02.2024|-2,5|ja|100-120|05.02.2024|90|09.02.2024|60|ruhig|ja|3. Februar 2024|9. Februar 2024|Jungfische gefressen",
			"system species males females began spawned spawned_at refill_delta_c[K] flow eggs hatch_to hatched swim_to free_swimming notes leaf_litter began swim_to loss"},
		{"Tank|Species|Start Date|Date Laid|Temp (°F)|GH (ppm)|Light (h)|Refill Difference (°F)|Baro Change (inHg)|Wigglers|Free Swimming|Hatch Aid|aquarium|scientific name|m/f|set-up date|spawn y/n|spawned on|hardness (°dH)|conditioning (weeks)|live foods|leaves|dithers|% changed|clutch size|date hatched|larvae|free-swimming|free swimmers|fate|introduced|hatch|swim-up|Breeder",
			"T3|zebrafish|01/02/2024|01/03/2024|77|90|12|-4|-0.12|90|01/09/2024 7:05 PM|air stone|T4|Danio rerio|2/3|2024-01-02|yes|2024-01-03|5|1.5|1|0|1|30|c. 100|2024-01-05|90|2024-01-09|60|fry eaten|2024-01-02|2024-01-05|2024-01-09|Lucille",
			"system species began spawned_at temperature_c[[degF]] gh_dh[mg{CaCO3}/L] light_hours[h] refill_delta_c[[degF]] pressure_change_hpa[[in_i'Hg]] hatched swim_to hatch_aid system species group began spawned spawned_at gh_dh[10.mg{CaO}/L] conditioning_days[wk] live_food leaf_litter dither water_change_pct[%] eggs hatch_to hatched swim_to free_swimming loss began hatch_to swim_to keeper"},
	} {
		h, ps := FindHeader(table(c.heads+"\n"+c.cells), Options{})
		require.Equal(t, c.want, fieldsOf(h))
		require.Empty(t, ps, "%v", ps)
	}
}

func TestProblemsOfOneTableComeInOrder(t *testing.T) {
	rows := table("Tank | Speices | Hatched | Frob | Temp (psi)\n1 | Danio rerio | yes | x | 7")
	_, first := FindHeader(rows, Options{})
	for range 5 {
		_, again := FindHeader(rows, Options{})
		require.Equal(t, first, again)
	}
	require.True(t, slices.IsSortedFunc(first, func(a, b problem.Problem) int { return strings.Compare(a.Place.Column, b.Place.Column) }))
}

func FuzzFindHeader(f *testing.F) {
	f.Add("Tank | Species | Temp (°C)\n1 | Danio rerio | 25", 0)
	f.Add(" | Water | |\nTank | Temp | pH |\n | °C | |\n1 | 25 | 7 |", 2)
	f.Add("Keeper: Ana\n\nHatched | Spawn | FS\n2024-01-01 | yes | 3", 0)
	f.Add("Σ | Δp | ( | [] | (()) | / | , | ? | ¿", 1)
	f.Fuzz(func(t *testing.T, text string, row int) {
		rows := table(text)
		h, ps := FindHeader(rows, Options{Row: row, Own: map[string][]string{"own-one": {"frob"}}})
		require.True(t, h.Row == 0 && h.First == 0 && len(h.Columns) == 0 || h.First > h.Row && h.Row <= len(rows))
		require.Less(t, h.Group, h.Row+1)
		seen := map[int]bool{}
		for _, c := range h.Columns {
			require.False(t, seen[c.At])
			seen[c.At] = true
			require.NotEmpty(t, c.Text)
			told := slices.ContainsFunc(ps, func(p problem.Problem) bool { return p.Place.Column == source.ColumnName(c.At) && p.Place.Row == h.Row })
			require.True(t, c.Field != None || told, "%q is dropped without a word", c.Text)
			require.Equal(t, c.Unit.Quantity, map[bool]any{true: c.Field.Quantity(), false: c.Unit.Quantity}[c.Unit.Code != ""])
		}
		for _, p := range ps {
			require.NotEmpty(t, p.Message)
			require.NotEmpty(t, p.Fix)
		}
	})
}

func BenchmarkFindHeader(b *testing.B) {
	text := "no.|tank|species|group|set up|ended|spawned?|spawn date|temp (°C)|pH|cond (µS/cm)|eggs|fertile|hatched|free swimming|moood|notes"
	for range 59 {
		text += "\n1|A1|Danio rerio|2.3|2024-01-02|2024-01-09|yes|2024-01-03|25.1|7|200|~120|100|2024-01-05|2024-01-09|glad|calm"
	}
	rows := table(text)
	b.ReportAllocs()
	for b.Loop() {
		FindHeader(rows, Options{})
	}
}

func BenchmarkMatchRow(b *testing.B) {
	heads := []string{"Tank", "Species", "Temp (°C)", "Temprature", "Spawned?", "something else", "Leitwert [µS/cm]"}
	b.ReportAllocs()
	for b.Loop() {
		MatchRow(heads)
	}
}

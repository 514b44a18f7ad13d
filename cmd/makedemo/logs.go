package main

import "time"

// lossWords are the causes of loss in keepers' words, as they are used in turn.
var (
	lossEnglish = map[string][]string{
		"infertile":            {"infertile"},
		"fungus":               {"fungus", "fungused", "all fungused"},
		"eaten by parents":     {"parents ate eggs", "eaten by parents"},
		"eaten by others":      {"snails ate the eggs", "eaten by tank mates"},
		"fry eaten":            {"fry eaten", "parents ate fry"},
		"removed deliberately": {"given away", "sold"},
		"failed to hatch":      {"did not hatch"},
		"starved":              {"starved", "no first food"},
	}
	lossGerman = map[string][]string{
		"infertile":            {"unbefruchtet"},
		"fungus":               {"verpilzt", "alle verpilzt"},
		"eaten by parents":     {"von Eltern gefressen", "Eltern haben gefressen"},
		"eaten by others":      {"von Schnecken gefressen", "vom Beibesatz gefressen"},
		"fry eaten":            {"Larven gefressen", "Jungfische gefressen"},
		"removed deliberately": {"abgegeben", "entnommen"},
		"failed to hatch":      {"nicht geschlüpft"},
		"starved":              {"verhungert", "kein Erstfutter"},
	}
)

var (
	notesEnglish = []string{
		"big front came through, heavy rain", "male very active, chasing all day", "moved the spawning mop to the corner",
		"eggs on the glass, front pane", "used rain water for the change", "away for the weekend, neighbour looked in",
		"first spawn of this group", "female looked very full", "light was on late, \"movie night\"", "new heater since Monday",
	}
	notesGerman = []string{
		"Gewitter am Abend", "Männchen balzt stark", "Eier an der Frontscheibe", "mit Regenwasser aufgefüllt", "Weibchen sehr rund",
		"neuer Laichmopp", "Licht gedimmt", "Gruppe erst seit kurzem zusammen", "am Wochenende nicht da, Nachbar hat geschaut",
	}
)

// german writes a date as 4. März 2024.
func german(t time.Time) string {
	months := [...]string{"Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November", "Dezember"}
	return t.Format("2. ") + months[t.Month()-1] + t.Format(" 2006")
}

func names(pairs ...[]string) map[string][]string {
	out := map[string][]string{}
	for _, p := range pairs {
		out[p[0]] = p[1:]
	}
	return out
}

// named lists how a species is written, in turn.
func named(species string, written ...string) []string { return append([]string{species}, written...) }

// logbooks are the logs of the club, no two alike.
func logbooks() []*logbook {
	return []*logbook{
		logBrandvold(), logOhlrogge(), logWeidacher(), logPellegrin(), logThorsager(), logMorgenroth(),
		logSilberbaum(), logWhitcombe(), logQuellmalz(), logEikaas(), logFishRoom(),
	}
}

// logBrandvold: comma, UTF-8, ISO dates with clock times.
func logBrandvold() *logbook {
	s := layouts(false, "2006-01-02", " 15:04")
	return &logbook{
		path: "Anneke Brandvold/spawning log.csv", keepers: []string{"Anneke Brandvold"},
		names:   names(named(paleatus, paleatus), named(rerio, rerio), named(heteromorpha, heteromorpha)),
		eggs:    eggHabit{estimated: 0.25},
		notes:   notesEnglish,
		missing: []string{"?", "n/a"},
		columns: []column{
			running("no."), theTank("tank"), theSpecies("species"), groupOf("group", "%d.%d"),
			began("set up"), ended("ended", true), spawned("spawned?", "yes", "no", "not yet"), spawnedAt("spawn date", true),
			temperature("temp (°C)", asIs), acidity("pH"), conductivity("conductivity (µS/cm)", 0, asIs), generalHardness("GH (°dH)", asIs),
			lightHours("light hours"), conditioning("conditioning (days)", 0, asIs), liveFood("live food", "yes", "no"), leafLitter("leaf litter", "yes", "no"),
			waterChange("water change (%)"), refill("refill difference (°C)", asIs), dither("dither fish", "yes", "no"),
			eggs("eggs", "~"), fertileEggs("fertile"), hatched("hatch date", true), hatchedNumber("no. hatched"),
			swimming("free swimming", true), fryNumber("fry"), lossOf("cause of loss", lossEnglish), lostAt("lost on", true), lastSeen("last check", true), theNotes("notes"),
		},
		shape: delimited(',', utf8, "\n", s), readable: s,
	}
}

// logOhlrogge: semicolon, decimal comma, Windows-1252, German.
func logOhlrogge() *logbook {
	s := layouts(true, "2.1.2006", " 15:04")
	return &logbook{
		path: "Bastian Ohlrogge/Zuchtprotokoll.csv", keepers: []string{"Bastian Ohlrogge"},
		titles: [][]string{{"Zuchtprotokoll 2023–2025"}, nil},
		names: names(named(paleatus, "Marmorierter Panzerwels", "Corydoras paleatus"), named(rerio, "Zebrabärbling"),
			named(scalare, "Skalar", "Pterophyllum scalare")),
		eggs:    eggHabit{estimated: 0.35},
		notes:   notesGerman,
		missing: []string{"k.A."},
		columns: []column{
			running("Nr."), theTank("Becken"), theSpecies("Art"), males("Männchen"), females("Weibchen"),
			began("angesetzt am"), ended("abgebrochen am", false), spawned("gelaicht", "ja", "nein", ""), spawnedAt("Laichdatum", false),
			temperature("Temp. (°C)", asIs), acidity("pH-Wert"), conductivity("Leitwert (µS/cm)", 0, asIs), generalHardness("GH (°dH)", asIs), carbonateHardness("KH (°dH)"),
			liveFood("Lebendfutter", "ja", "nein"), conditioning("Konditionierung (Tage)", 0, asIs), waterChange("Wasserwechsel (%)"), refillTemperature("Temp. Frischwasser (°C)"),
			eggs("Eier", "ca. "), fertileEggs("befruchtet"), hatched("Schlupf am", false), hatchedNumber("Anz. geschlüpft"),
			swimming("freischwimmend am", false), fryNumber("Jungfische"), lossOf("Verlustursache", lossGerman), lastSeen("letzte Kontrolle", false), theNotes("Bemerkungen"),
		},
		totals:  "Summe",
		blemish: []blemish{{kind: "impossible value", head: "pH-Wert", nth: 9, written: whole(68), note: "a pH of 68: the decimal comma was lost"}},
		shape:   delimited(';', windows1252, "\r\n", s), readable: s,
	}
}

// logWeidacher: semicolon, decimal comma, UTF-8 with a byte order mark, German;
// the keeper is named in a row above the headings.
func logWeidacher() *logbook {
	s := layouts(true, "02.01.2006", " 15:04")
	return &logbook{
		path: "Zuchtbuch 2023-2025.csv", keepers: []string{"Corvin Weidacher"},
		titles: [][]string{{"Züchter: Corvin Weidacher"}},
		names: names(named(paleatus, "Corydoras paleatus", "Hoplisoma paleatum"), named(cacatuoides, "Kakadu-Zwergbuntbarsch"),
			named(heteromorpha, "Keilfleckbärbling", "Rasbora heteromorpha")),
		eggs:    eggHabit{photo: 0.15, estimated: 0.3},
		notes:   notesGerman,
		missing: []string{"?"},
		columns: []column{
			theTank("Becken"), theSpecies("Fischart"), groupOf("Zuchtgruppe", "%d.%d"), began("eingesetzt am"), ended("beendet am", true),
			spawned("abgelaicht?", "j", "n", ""), spawnedAt("abgelaicht am", true),
			temperature("Temperatur (°C)", asIs), acidity("pH"), conductivity("Leitfähigkeit (µS/cm)", 0, asIs), generalHardness("Gesamthärte (°dH)", asIs),
			lightHours("Beleuchtung (h)"), conditioning("Konditionierung (Tage)", 0, asIs), liveFood("Lebendfutter", "j", "n"), leafLitter("Seemandelbaumblätter", "j", "n"),
			microfauna("Mikrofauna", "j", "n"), dither("Beifische", "j", "n"), waterChange("WW (%)"), pressureChange("Luftdruckänderung (hPa)", 1, asIs),
			eggs("Anzahl Eier", ""), eggsMethod("Zählmethode", map[string]string{"counted": "gezählt", "photo": "Foto", "estimated": "geschätzt"}),
			fertileEggs("befr."), hatched("geschlüpft am", true), hatchedNumber("Larven"), swimming("freischwimmend", true), fryNumber("Anz. Jungfische"),
			lossOf("Verlust", lossGerman), lostAt("verloren am", true), theNotes("Notizen"),
		},
		spacer:  true,
		blemish: []blemish{{kind: "impossible value", head: "Temperatur (°C)", nth: 14, written: whole(250), note: "250 °C: the decimal comma was lost"}},
		shape:   delimited(';', utf8Marked, "\n", s), readable: s,
	}
}

// logPellegrin: a workbook that LibreOffice wrote, a sheet for each year.
func logPellegrin() *logbook {
	return &logbook{
		path: "Dario Pellegrin/breeding.xlsx", keepers: []string{"Dario Pellegrin"},
		names:   names(named(paleatus, "Corydoras paleatus", "C. paleatus", "C. paleatus"), named(rerio, "Danio rerio", "D. rerio"), named(praecox, "Melanotaenia praecox", "M. praecox")),
		eggs:    eggHabit{photo: 0.2, sample: 0.2, estimated: 0.15},
		notes:   notesEnglish,
		missing: []string{"-"},
		columns: []column{
			theTank("Tank"), theSpecies("Species"), males("Males"), females("Females"), began("Start date"), ended("Given up on", false),
			spawned("Spawned", "Y", "N", ""), spawnedAt("Date spawned", true),
			temperature("Water temp (°C)", asIs), acidity("pH"), conductivity("EC (µS/cm)", 0, asIs), generalHardness("GH (dGH)", asIs), carbonateHardness("KH (dKH)"), nitrate("NO3 (mg/L)"),
			lightHours("Photoperiod (h)"), conditioning("Conditioned (days)", 0, asIs), liveFood("Live food", "Y", "N"), current("Flow", "Y", "N"),
			waterChange("WC (%)"), refillTemperature("New water temp (°C)"), levelChange("Level change (cm)"),
			eggs("Eggs", ""), eggsMethod("Counted how", map[string]string{"counted": "counted", "photo": "photo", "sample": "sample", "estimated": "est."}),
			fertileEggs("Fertilised"), hatched("Hatched on", true), hatchedNumber("Hatchlings"), swimming("FS date", true), fryNumber("Fry count"),
			lossOf("What went wrong", lossEnglish), theNotes("Notes"),
		},
		yearly: true,
		office: true,
		shape:  openDocument, readable: layouts(false, "2006-01-02", " 15:04"),
	}
}

// logThorsager: tab-separated, names of months, units in a row of their own; the
// keeper is named by the file.
func logThorsager() *logbook {
	s := layouts(false, "2 Jan 2006", " 15:04")
	unit := func(c column, unit string) column {
		c.unit = unit
		return c
	}
	return &logbook{
		path: "Edda Thorsager.tsv", keepers: []string{"Edda Thorsager"},
		names:   names(named(paleatus, "peppered cory"), named(rerio, "zebra danio"), named(cacatuoides, "cockatoo cichlid")),
		eggs:    eggHabit{estimated: 0.3, ranged: 0.2},
		notes:   notesEnglish,
		missing: []string{"?"},
		columns: []column{
			theTank("tank"), theSpecies("fish"), groupOf("breeders", "%dm%df"), began("put together"), ended("ended", true),
			spawned("success", "y", "n", "not yet"), spawnedAt("date laid", false),
			unit(temperature("temp", asIs), "°C"), acidity("pH"), unit(conductivity("cond", 0, asIs), "µS/cm"), unit(generalHardness("GH", asIs), "°dH"),
			unit(lightHours("light hours"), "h"), unit(conditioning("conditioning", 0, asIs), "days"), liveFood("live food", "y", "n"), microfauna("infusoria", "y", "n"),
			rearranged("rearranged", "y", "n"), tankMates("tank mates", "y", "n"), unit(waterChange("water change"), "%"),
			eggs("egg count", "about "), fertileEggs("good eggs"), hatched("hatched", false), hatchedNumber("wrigglers"), swimming("swim up", false), fryNumber("no. fry"),
			lossOf("losses", lossEnglish), theNotes("remarks"),
		},
		blemish: []blemish{
			{kind: "misspelt species", head: "fish", of: "peppered cory", nth: 5, written: words("pepperd cory"), note: "a letter lost; one name is near", keep: true},
			{kind: "date in the future", head: "swim up", nth: 6, written: cell{kind: date, at: time.Date(2052, 3, 14, 0, 0, 0, 0, time.UTC)}, note: "figures of the year swapped"},
		},
		shape: delimited('\t', utf8, "\n", s), readable: s,
	}
}

// logMorgenroth: a workbook that a program wrote, German, headings in two rows,
// stored dates, truth values and percentages.
func logMorgenroth() *logbook {
	return &logbook{
		path: "Falk Morgenroth/Laichbuch.xlsx", keepers: []string{"Falk Morgenroth"},
		titles: [][]string{{"Ablaichungen, alle Becken"}, nil},
		groups: []span{{"Ansatz", "Becken", "abgelaicht am"}, {"Wasser", "Temperatur (°C)", "KH (°dH)"}, {"Pflege", "Lebendfutter", "Beifische"}, {"Gelege", "Eierzahl", "Anmerkung"}},
		names: names(named(paleatus, "Corydoras paleatus", "Punktierter Panzerwels"), named(rerio, "Brachydanio rerio", "Danio rerio"),
			named(scalare, "Pterophyllum scalare", "Segelflosser")),
		eggs:  eggHabit{ranged: 0.3},
		notes: notesGerman,
		columns: []column{
			theTank("Becken"), theSpecies("Art"), males("Anz. Männchen"), females("Anz. Weibchen"), began("Ansatz am"), ended("beendet am", true),
			ticked(spawned("abgelaicht", "", "", "")), spawnedAt("abgelaicht am", true),
			temperature("Temperatur (°C)", asIs), acidity("pH-Wert"), conductivity("Leitwert (µS/cm)", 0, asIs), generalHardness("GH (°dH)", asIs), carbonateHardness("KH (°dH)"),
			ticked(liveFood("Lebendfutter", "", "")), conditioning("Konditionierung (Tage)", 0, asIs), waterChangeShare("Wasserwechsel"), refill("Frischwasser minus Becken (°C)", asIs),
			ticked(current("Strömung", "", "")), ticked(dither("Beifische", "", "")),
			eggs("Eierzahl", ""), fertileEggs("befruchtet"), hatched("Schlupfdatum", true), hatchedNumber("Schlupfzahl"), swimming("schwimmen frei", true), fryNumber("Jungfische"),
			lossOf("Verlustursache", lossGerman), theNotes("Anmerkung"),
		},
		spacer: true,
		shape:  excel, readable: layouts(true, "02.01.2006", " 15:04"),
	}
}

// logSilberbaum: spawnings only; semicolon, German, dates with the names of
// months.
func logSilberbaum() *logbook {
	s := style{true, german, func(t time.Time) string { return german(t) + t.Format(", 15:04") }}
	return &logbook{
		path: "Greta Silberbaum/Gelege.csv", keepers: []string{"Greta Silberbaum"},
		names: names(named(cacatuoides, "Apistogramma cacatuoides"), named(scalare, "Skalar")),
		eggs:  eggHabit{estimated: 0.4},
		notes: notesGerman,
		columns: []column{
			theTank("Becken"), theSpecies("Fischart"), groupNamed("Gruppe", "Paar", "Trio", "%d.%d"), began("zusammengesetzt"),
			spawned("gelaicht", "ja", "nein", ""), spawnedAt("gelaicht am", false),
			temperature("Wassertemp. (°C)", asIs), acidity("pH"), leafLitter("Laub", "ja", "nein"), liveFood("Lebendfutter", "ja", "nein"),
			eggs("Eier", "~"), hatched("Schlupf", false), swimming("Freischwimmen", false), fryNumber("Jungfische"),
			lossOf("Ausfall", lossGerman), theNotes("Anm."),
		},
		shape: delimited(';', utf8, "\r\n", s), readable: s,
	}
}

// logWhitcombe: units and dates of the United States.
func logWhitcombe() *logbook {
	s := layouts(false, "01/02/2006", " 3:04 PM")
	return &logbook{
		path: "Harlan Whitcombe/spawn_log.csv", keepers: []string{"Harlan Whitcombe"},
		names: names(named(paleatus, "peppered cory", "Corydoras paleatus"), named(rerio, "zebrafish"), named(praecox, "dwarf neon rainbowfish")),
		eggs:  eggHabit{estimated: 0.2, ranged: 0.3},
		notes: notesEnglish,
		columns: []column{
			theTank("Tank"), theSpecies("Species"), males("Males"), females("Females"), began("Start Date"), ended("Ended", true),
			spawned("Spawned", "Yes", "No", ""), spawnedAt("Date Laid", true),
			temperature("Temp (°F)", fahrenheit), acidity("pH"), conductivity("Conductivity (µS/cm)", 0, asIs), generalHardness("GH (ppm)", ppmAsCaCO3),
			lightHours("Light (h)"), conditioning("Conditioning (days)", 0, asIs), liveFood("Live Food", "Yes", "No"), waterChange("Water Change (%)"), refill("Refill Difference (°F)", fahrenheitDegrees),
			pressureChange("Baro Change (inHg)", 2, inchesOfMercury),
			eggs("Eggs", "~"), fertileEggs("Fertile"), hatched("Hatch Date", true), hatchedNumber("Wigglers"), swimming("Free Swimming", true), fryNumber("Fry"),
			lossOf("Cause of Loss", lossEnglish), lastSeen("Last Check", true), hatchAid("Hatch Aid", []string{"air stone", "none", "alder cones", "air stone"}), theNotes("Notes"),
		},
		shape: delimited(',', utf8, "\r\n", s), readable: s,
	}
}

// logQuellmalz: text of a spreadsheet program, UTF-16 and tabs.
func logQuellmalz() *logbook {
	s := layouts(false, "2006-01-02", " 15:04")
	return &logbook{
		path: "Ines Quellmalz/attempts.txt", keepers: []string{"Ines Quellmalz"},
		names:   names(named(paleatus, "Corydoras paleatus"), named(rerio, "Danio rerio"), named(heteromorpha, "harlequin rasbora", "Trigonostigma heteromorpha")),
		eggs:    eggHabit{estimated: 0.2},
		notes:   notesEnglish,
		missing: []string{"n/a"},
		columns: []column{
			theTank("aquarium"), theSpecies("scientific name"), groupOf("m/f", "%d/%d"), began("set-up date"), ended("ended", true),
			spawned("spawn y/n", "yes", "no", "not yet"), spawnedAt("spawned on", false),
			temperature("temperature (°C)", asIs), acidity("pH value"), conductivity("conductivity (mS/cm)", 3, millisiemens), generalHardness("hardness (°dH)", asIs),
			conditioning("conditioning (weeks)", 1, weeks), liveFood("live foods", "1", "0"), leafLitter("leaves", "1", "0"), dither("dithers", "1", "0"), waterChange("% changed"),
			eggs("clutch size", "c. "), fertileEggs("fertile"), hatched("date hatched", false), hatchedNumber("larvae"), swimming("free-swimming", false), fryNumber("free swimmers"),
			lossOf("fate", lossEnglish), theNotes("comments"),
		},
		shape: delimited('\t', utf16LE, "\r\n", s), readable: s,
	}
}

// logEikaas: spawnings only, short.
func logEikaas() *logbook {
	s := layouts(false, "2006-01-02", " 15:04")
	return &logbook{
		path: "Jorunn Eikaas/spawns.csv", keepers: []string{"Jorunn Eikaas"},
		names: names(named(praecox, "Melanotaenia praecox", "neon rainbowfish"), named(heteromorpha, "harlequin rasbora")),
		eggs:  eggHabit{estimated: 0.5},
		columns: []column{
			theTank("tank"), theSpecies("species"), shoal("group", "group of %d"), began("introduced"), spawned("spawned", "y", "n", ""), spawnedAt("date spawned", false),
			temperature("temp (°C)", asIs), eggs("eggs", "about "), hatched("hatch", false), swimming("swim-up", false), fryNumber("fry count"), lossOf("loss", lossEnglish),
		},
		shape: delimited(',', utf8, "\n", s), readable: s,
	}
}

// logFishRoom: two keepers who share a room and a log; the keeper is named in a
// column.
func logFishRoom() *logbook {
	s := layouts(false, "Jan 2, 2006", " 15:04")
	return &logbook{
		path: "Fish room/fish room log.csv", keepers: []string{"Konrad Fichtenau", "Lucille Ashdown"},
		names: names(named(paleatus, "Corydoras paleatus"), named(rerio, "Danio rerio", "zebra danio"), named(scalare, "freshwater angelfish"),
			named(cacatuoides, "Apistogramma cacatuoides", "A. cacatuoides"), named(heteromorpha, "harlequin rasbora")),
		eggs:    eggHabit{estimated: 0.2, ranged: 0.1},
		notes:   notesEnglish,
		missing: []string{"--"},
		columns: []column{
			theKeeper("Breeder"), theTank("Tank"), theSpecies("Species"), males("Males"), females("Females"), began("Set up"), ended("Ended", true),
			spawned("Spawned?", "yes", "no", "not yet"), spawnedAt("Spawned on", true),
			temperature("Temp (°C)", asIs), acidity("pH"), conductivity("EC (µS/cm)", 0, asIs), generalHardness("GH (°dH)", asIs), liveFood("Live food", "yes", "no"), dither("Dither fish", "yes", "no"),
			conditioning("Conditioning (days)", 0, asIs), waterChange("WC (%)"),
			eggs("Egg count", "~"), fertileEggs("Fertile"), hatched("Hatched on", true), hatchedNumber("No. hatched"), swimming("Free swimming", true), fryNumber("No. fry"),
			lossOf("Loss", lossEnglish), lostAt("Lost on", true), theNotes("Comments"),
		},
		repeat: 17,
		shape:  delimited(',', utf8, "\n", s), readable: s,
	}
}

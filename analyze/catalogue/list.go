package catalogue

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gravid/ingest/club"
)

// Triggers returns the catalogue in its fixed order. The caller may change the
// slice.
//
// Thresholds and usual doses are common practice without a source, except where
// UsualDose names one.
func Triggers() []Trigger {
	return []Trigger{
		{
			Code: "pressure-drop", Name: "a fall in air pressure",
			With: "on days after a fall of 5 hPa or more", Without: "on other days",
			Words: []string{"pressure drop", "pressure drops", "pressure fall", "falling pressure", "air pressure", "barometric pressure", "barometer", "low pressure", "pressure", "storm", "thunderstorm", "weather front", "storms"},
			Kind:  YesNo, Assigned: ByWeather,
			Unit: "hPa", UnitName: "hPa", Step: 5, Usual: 5,
			Window:    "the 24 hours that close at the local midnight that opens the day",
			Derived:   "readings of air_pressure_hpa at the keeper's own barometer, else at the club's place: value at midnight less value at the midnight before (same clock hour, so that the daily tide of the air cancels); where readings are rarer, the last one before midnight less the one of the same clock hour a day earlier",
			UsualDose: "weather moves by a few hPa a day; a fall of 24 hPa in a day is already extreme (Sanders & Gyakum 1980)",
			Caution:   pressure,
			Daily:     &Daily{Rule: Fall, Quantity: "air_pressure_hpa", WindowHours: 24, Threshold: 5, AtPlace: true},
			// Only where no barometer was read: what the keeper noted on the row.
			FromAttempt: atMost(-5, func(a *club.Attempt) club.Number { return a.PressureChange }),
		},
		{
			Code: "water-change", Name: "a water change",
			With: "with a water change", Without: "without one",
			Words: []string{"water change", "water changes", "changing water", "fresh water"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "%", UnitName: "% of the water", Step: 25, Zero: true, Usual: 25,
			Window: "the attempt", Derived: "attempts.water_change_pct",
			UsualDose: "20 to 30 % (common practice, no source)", Caution: electricity,
			Changes:     []string{"temperature", "conductivity-fall", "ph-fall", "nitrate", "hardness"},
			Act:         &Act{Action: "water_change", Days: 3, Unit: "%"},
			FromAttempt: func(a *club.Attempt) club.Number { return a.WaterChangePct },
		},
		{
			Code: "cool-refill", Name: "a cooler refill",
			With: "with a refill at least 1 °C cooler", Without: "without one",
			Words: []string{"cool refill", "cooler refill", "cool water", "cold water", "cool water change", "cool water changes", "cold water change", "cold water changes", "cool refills", "temperature drop", "cooling"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "K", UnitName: "°C cooler", Step: 2, Usual: 2,
			Window: "the attempt", Derived: "attempts.refill_delta_c at or below -1 °C",
			UsualDose: "1 to 4 °C cooler in the tank (hobby pages read; no trial on most species)", Caution: temperatureShock,
			Changes:     []string{"temperature", "conductivity-fall", "ph-fall"},
			FromAttempt: atMost(-1, func(a *club.Attempt) club.Number { return a.RefillDeltaC }),
		},
		{
			Code: "level-rise", Name: "a rising water level",
			With: "with a rise of level", Without: "without one",
			Words: []string{"level rise", "rising level", "rising water", "water level", "higher level", "rain"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "cm", UnitName: "cm", Step: 5, Usual: 10,
			Window: "the attempt", Derived: "attempts.level_change_cm above 0",
			UsualDose: fmt.Sprintf("a few cm to a full refill after a dry spell (common practice, no source); 10 cm of water adds %.1f hPa at the bottom", WaterColumnHPa(10)), Caution: electricity,
			Act: &Act{Action: "level_change", Days: 3, Unit: "cm", Rising: true},
			FromAttempt: func(a *club.Attempt) club.Number {
				if !a.LevelChangeCm.OK {
					return a.LevelChangeCm
				}
				return truth(func(*club.Attempt) club.Truth { return club.Some(a.LevelChangeCm.V > 0) })(a)
			},
		},
		{
			Code: "dry-spell", Name: "a dry spell, then a refill",
			With: "on days after a dry spell was ended by a refill", Without: "on other days",
			Words: []string{"dry spell", "dry season", "drought", "rainy season", "falling level", "lowered level"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "cm", UnitName: "cm", Step: 5, Usual: 10,
			Window:    "the 21 days before: the level fell by 5 cm or more, then rose within the last day",
			Derived:   "readings of water_level_cm of the tank",
			UsualDose: "2 to 4 weeks of falling level, then a slightly cooler refill (common practice, no source)", Caution: electricity,
			Daily: &Daily{Rule: DryThenRise, Quantity: "water_level_cm", WindowHours: 21 * 24, Threshold: 5},
		},
		{
			Code: "flow", Name: "added flow", With: "with added flow", Without: "without",
			Words: []string{"flow", "current", "circulation", "stronger filter", "water flow"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.flow",
			UsualDose: "differs by species (common practice, no source)", Caution: electricity,
			Act:         &Act{Action: "flow", Days: 7},
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.Flow }),
		},
		{
			Code: "conditioning", Name: "days of conditioning", With: "after conditioning", Without: "without conditioning",
			Words: []string{"conditioning", "condition", "feeding up", "conditioned", "fed up"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "d", UnitName: "days", Step: 7, Zero: true, Usual: 14,
			Window: "before the attempt", Derived: "attempts.conditioning_days",
			UsualDose:   "about 14 days (common practice, no source)",
			FromAttempt: func(a *club.Attempt) club.Number { return a.ConditioningDays },
		},
		{
			Code: "live-food", Name: "live food", With: "with live food", Without: "without",
			Words: []string{"live food", "live foods", "living food", "mosquito larvae", "brine shrimp", "worms"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "before and during the attempt", Derived: "attempts.live_food",
			UsualDose: "daily for about two weeks (common practice, no source)", Caution: livefood,
			Act:         &Act{Action: "feed_live", Days: 7},
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.LiveFood }),
		},
		{
			Code: "microfauna", Name: "food for fry in the tank", With: "with visible microfauna", Without: "without",
			Words: []string{"microfauna", "infusoria", "food for fry", "fry food", "mulm"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.microfauna",
			UsualDose:   "no usual amount",
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.Microfauna }),
		},
		{
			Code: "other-spawning", Name: "another species spawning in the same water",
			With: "on days after another species spawned in the same water", Without: "on other days",
			Words: []string{"other species spawning", "other fish spawning", "other spawning", "neighbours spawning", "others spawning"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the 3 days before the day", Derived: "spawnings of other species in attempts of the same keeper and tank system",
			UsualDose: "cannot be dosed",
			Daily:     &Daily{Rule: OtherSpawning, WindowHours: 72}, Aside: true,
		},
		{
			Code: "leaf-litter", Name: "leaf litter", With: "with leaf litter", Without: "without",
			Words: []string{"leaf litter", "leaves", "catappa", "tannins", "peat", "blackwater"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.leaf_litter",
			UsualDose: "no usual amount", Caution: chemistry,
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.LeafLitter }),
		},
		{
			Code: "light-hours", Name: "hours of light", With: "with longer light", Without: "with shorter light",
			Words: []string{"light hours", "day length", "photoperiod", "hours of light", "longer days", "lighting"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "h", UnitName: "hours a day", Step: 2, Usual: 12,
			Window: "the attempt", Derived: "attempts.light_hours",
			UsualDose: "10 to 14 hours a day (common practice, no source)", Caution: lightCaution,
			FromAttempt: func(a *club.Attempt) club.Number { return a.LightHours },
		},
		{
			Code: "dim-light", Name: "dim light", With: "on days after a dim week", Without: "on other days",
			Words: []string{"dim light", "low light", "dark tank", "shade", "dimmed", "darkness"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "lx", UnitName: "lx", Step: 1000, Usual: 5000,
			Window: "the 7 days before the day", Derived: "readings of light_lux of the tank: the brightest one below 5,000 lx",
			UsualDose: "2 to 5 % of open daylight for low-light species (common practice, no source)", Caution: lightCaution,
			Daily: &Daily{Rule: Below, Quantity: "light_lux", WindowHours: 7 * 24, Threshold: 5000},
		},
		{
			Code: "temperature", Name: "water temperature", With: "in warmer water", Without: "in cooler water",
			Words: []string{"temperature", "warmth", "warmer water", "water temperature", "heat", "warm"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "Cel", UnitName: "°C", Step: 1, Usual: 25,
			Window: "the attempt", Derived: "attempts.temperature_c, else readings of temperature_c of the tank: their mean over the 24 hours that close at the midnight that opens the day",
			Level:     &Level{Quantity: "temperature_c", WindowHours: 24},
			UsualDose: "inside the range of the species", Caution: temperatureShock,
			FromAttempt: func(a *club.Attempt) club.Number { return a.TemperatureC },
		},
		{
			Code: "conductivity-fall", Name: "a fall in conductivity", With: "on days after a fall of a fifth or more", Without: "on other days",
			Words: []string{"conductivity", "conductivity fall", "softer water", "falling conductivity"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "uS/cm", UnitName: "µS/cm", Step: 50, Usual: 100,
			Window: "the 7 days that close at the midnight that opens the day", Derived: "readings of conductivity_us_cm of the tank",
			UsualDose: "for weakly electric fish over weeks (Kirschbaum, abstract read); otherwise no source", Caution: chemistry,
			Daily: &Daily{Rule: FallShare, Quantity: "conductivity_us_cm", WindowHours: 7 * 24, Threshold: 0.2},
		},
		{
			Code: "ph-fall", Name: "a fall in pH", With: "on days after a fall of 0.3 or more", Without: "on other days",
			Words: []string{"ph", "ph fall", "falling ph", "acid water", "acidity"},
			Kind:  YesNo, Assigned: ByKeeper, Unit: "[pH]", UnitName: "pH", Step: 0.5, Usual: 0.5,
			Window: "the 7 days that close at the midnight that opens the day", Derived: "readings of ph of the tank",
			UsualDose: "no source", Caution: chemistry,
			Daily: &Daily{Rule: Fall, Quantity: "ph", WindowHours: 7 * 24, Threshold: 0.3},
		},
		{
			Code: "hardness", Name: "general hardness", With: "in harder water", Without: "in softer water",
			Words: []string{"hardness", "gh", "hard water", "soft water", "general hardness"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "[dH]", UnitName: "°dH", Step: 5, Usual: 8,
			Window: "the attempt", Derived: "attempts.gh_dh", UsualDose: "by species (common practice, no source)", Caution: chemistry,
			FromAttempt: func(a *club.Attempt) club.Number { return a.GH },
		},
		{
			Code: "nitrate", Name: "nitrate", With: "with more nitrate", Without: "with less nitrate",
			Words: []string{"nitrate", "nitrates", "no3"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "mg/L", UnitName: "mg/L", Step: 10, Usual: 10,
			Window: "the attempt", Derived: "attempts.nitrate_mg_l, else readings of nitrate_mg_l of the tank: their mean over the 7 days that close at the midnight that opens the day",
			Level:     &Level{Quantity: "nitrate_mg_l", WindowHours: 7 * 24},
			UsualDose: "as low as water changes keep it (common practice, no source)", Caution: chemistry,
			FromAttempt: func(a *club.Attempt) club.Number { return a.NitrateMgL },
		},
		{
			Code: "rearranged", Name: "a rearranged tank", With: "in a rearranged tank", Without: "in an unchanged tank",
			Words: []string{"rearranged", "rearranging", "rearrange", "new layout", "moved decor", "rearranged tank"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.rearranged", UsualDose: "cannot be dosed", Caution: glass,
			Act:         &Act{Action: "rearrange", Days: 7},
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.Rearranged }),
		},
		{
			Code: "dither", Name: "calm company (dither fish)", With: "with calm company", Without: "without",
			Words: []string{"dither", "dither fish", "calm company", "company", "target fish"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.dither", UsualDose: "a small shoal (common practice, no source)", Caution: netting,
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return a.Dither }),
		},
		{
			Code: "tank-mates-removed", Name: "tank mates taken out", With: "without tank mates", Without: "with tank mates",
			Words: []string{"tank mates", "tankmates", "tank mates removed", "species tank", "alone", "other fish removed"},
			Kind:  YesNo, Assigned: ByKeeper, Window: "the attempt", Derived: "attempts.tank_mates is no", UsualDose: "cannot be dosed", Caution: netting,
			FromAttempt: truth(func(a *club.Attempt) club.Truth { return club.Truth{V: !a.TankMates.V, OK: a.TankMates.OK} }),
		},
		{
			Code: "group-size", Name: "the size of the group", With: "in a larger group", Without: "in a smaller group",
			Words: []string{"group size", "size of the group", "bigger group", "larger group", "number of fish", "shoal size"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "{fish}", UnitName: "fish", Step: 2, Usual: 6,
			Window: "the attempt", Derived: "attempts.males + females + unsexed",
			UsualDose: "5 to 6 for small shoaling fish (common practice, no source)", Caution: netting,
			FromAttempt: groupSize,
		},
		{
			Code: "sex-ratio", Name: "males per female", With: "with more males per female", Without: "with fewer",
			Words: []string{"sex ratio", "males per female", "more males", "ratio of males"},
			Kind:  Dose, Assigned: ByKeeper, Unit: "1", UnitName: "males per female", Step: 1, Usual: 2,
			Window: "the attempt", Derived: "attempts.males / females",
			UsualDose: "by species; custom and reports disagree (no source)", Caution: netting,
			FromAttempt: malesPerFemale,
		},
		{
			Code: "moon", Name: "the full moon", With: "within 3 days of the full moon", Without: "on other days",
			Words: []string{"moon", "full moon", "moon phase", "lunar"},
			Kind:  YesNo, Assigned: ByWeather, Window: "the day itself, 3 days either side of the mean full moon",
			Derived:   "the calendar: mean synodic month after Meeus, Astronomical Algorithms, chapter 49 (good to about 14 hours)",
			UsualDose: "cannot be dosed",
			Daily:     &Daily{Rule: FullMoon, Threshold: 3}, Aside: true,
		},
	}
}

// Find returns the trigger of that code.
func Find(list []Trigger, code string) (Trigger, bool) {
	i := slices.IndexFunc(list, func(t Trigger) bool { return t.Code == code })
	if i < 0 {
		return Trigger{}, false
	}
	return list[i], true
}

// Quantities returns the quantities of dated readings that the rules of a list look at.
func Quantities(list []Trigger) []string {
	var all []string
	for _, t := range list {
		if t.Daily != nil && t.Daily.Quantity != "" {
			all = append(all, t.Daily.Quantity)
		}
		if t.Level != nil {
			all = append(all, t.Level.Quantity)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// hints are words that several triggers go by; a question that holds nothing better is
// put back with them.
var hints = []struct {
	words []string
	codes []string
}{
	{[]string{"drop", "drops", "fall", "falls", "falling"}, []string{"pressure-drop", "cool-refill", "conductivity-fall", "ph-fall"}},
	{[]string{"weather", "rainy", "front", "fronts"}, []string{"pressure-drop", "level-rise", "dry-spell"}},
	{[]string{"food", "foods", "feed", "feeding", "diet"}, []string{"live-food", "conditioning", "microfauna"}},
	{[]string{"light", "lights", "dark"}, []string{"light-hours", "dim-light"}},
	{[]string{"level"}, []string{"level-rise", "dry-spell"}},
	{[]string{"refill", "refills"}, []string{"cool-refill", "dry-spell", "water-change"}},
	{[]string{"chemistry", "softer", "harder", "water values"}, []string{"hardness", "conductivity-fall", "ph-fall", "nitrate"}},
	{[]string{"group", "shoal", "males", "females", "pairs", "trio", "trios"}, []string{"group-size", "sex-ratio"}},
	{[]string{"others", "neighbours", "mates"}, []string{"other-spawning", "tank-mates-removed", "dither"}},
}

// Hinted returns the triggers that a text may mean by a word that several go by, in the
// order of the catalogue.
func Hinted(list []Trigger, text string) []Trigger {
	text = spaced(text)
	var codes []string
	for _, h := range hints {
		if slices.ContainsFunc(h.words, func(w string) bool { return strings.Contains(text, " "+w+" ") }) {
			codes = append(codes, h.codes...)
		}
	}
	var found []Trigger
	for _, t := range list {
		if slices.Contains(codes, t.Code) {
			found = append(found, t)
		}
	}
	return found
}

// spaced is a text in lower case with one space around each word.
func spaced(text string) string {
	return " " + strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !(r == '-' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r > 127)
	}), " ") + " "
}

// Mention returns the triggers whose code or words stand in the text, in the order
// in which they stand there. A match inside a longer one of another trigger does
// not count.
func Mention(list []Trigger, text string) []Trigger {
	type hit struct {
		at, end int
		t       Trigger
	}
	text = spaced(text)
	var hits []hit
	for _, t := range list {
		for _, w := range append([]string{t.Code}, t.Words...) {
			w = " " + strings.ToLower(w) + " "
			for from := 0; ; {
				i := strings.Index(text[from:], w)
				if i < 0 {
					break
				}
				hits = append(hits, hit{from + i, from + i + len(w), t})
				from += i + 1
			}
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return cmp.Compare(b.end-b.at, a.end-a.at) })
	var taken []hit
	for _, h := range hits {
		if !slices.ContainsFunc(taken, func(o hit) bool { return h.at+1 < o.end-1 && o.at+1 < h.end-1 }) {
			taken = append(taken, h)
		}
	}
	slices.SortFunc(taken, func(a, b hit) int { return cmp.Compare(a.at, b.at) })
	var found []Trigger
	for _, h := range taken {
		if _, seen := Find(found, h.t.Code); !seen {
			found = append(found, h.t)
		}
	}
	return found
}

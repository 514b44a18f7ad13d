package main

// A keeper is an invented member of the invented club.
type keeper struct {
	Name  string
	Town  string
	Skill float64 // added to the log-odds of every species

	SpawnsOnly bool // writes down nothing that failed
	From       day  // first set-up at the earliest
	Check      int  // the daily look at the tanks, minutes after midnight
	Tanks      []tank

	warmer       float64 // tanks of this keeper against the usual of a species, °C
	gh           float64 // of the keeper's water, German degrees
	liveFood     float64 // chance that an attempt has it; the others likewise
	leaves       float64 //
	dither       float64 //
	cool         float64 // of a water change being a cooler one
	light        float64 // hours a day, usually
	conditioning []int   // days, one of
	changes      []int   // water change in percent, one of
}

// A tank holds one species; so many attempts are set up in it over the seasons.
type tank struct {
	Name     string
	Species  string
	Attempts int
}

// The keepers, in the order of their first names. Skill and live food go together
// a little: those who take more trouble have more luck.
func plantedKeepers() []*keeper {
	const evening, morning = 19 * 60, 7*60 + 20
	short, usual, long := []int{0, 7, 10, 14}, []int{7, 10, 14}, []int{10, 14, 21}
	few, some, much := []int{0, 20, 25}, []int{0, 20, 30}, []int{20, 30, 50}
	return []*keeper{
		{
			Name: "Anneke Brandvold", Town: "Lindenfurt", Skill: 0.35, From: 12, Check: evening,
			Tanks:  []tank{{"A1", paleatus, 16}, {"A2", rerio, 14}, {"A3", heteromorpha, 10}},
			warmer: 0.2, gh: 7, liveFood: 0.65, leaves: 0.4, dither: 0.3, cool: 0.5, light: 12, conditioning: usual, changes: some,
		},
		{
			Name: "Bastian Ohlrogge", Town: "Haselmoor", Skill: -0.20, From: 20, Check: evening + 30,
			Tanks:  []tank{{"Becken 1", paleatus, 16}, {"Becken 2", rerio, 13}, {"Becken 4", scalare, 10}},
			warmer: -0.3, gh: 12, liveFood: 0.45, leaves: 0.2, dither: 0.2, cool: 0.4, light: 11, conditioning: short, changes: few,
		},
		{
			Name: "Corvin Weidacher", Town: "Ottersgrund", Skill: 0.10, From: 35, Check: morning,
			Tanks:  []tank{{"K1", paleatus, 15}, {"K2", cacatuoides, 11}, {"K3", heteromorpha, 9}},
			warmer: 0.1, gh: 4, liveFood: 0.55, leaves: 0.6, dither: 0.5, cool: 0.3, light: 10, conditioning: usual, changes: some,
		},
		{
			Name: "Dario Pellegrin", Town: "Lindenfurt", Skill: 0.45, From: 15, Check: morning - 30,
			Tanks:  []tank{{"1", paleatus, 15}, {"2", rerio, 14}, {"3", praecox, 12}},
			warmer: 0.4, gh: 9, liveFood: 0.70, leaves: 0.3, dither: 0.2, cool: 0.5, light: 13, conditioning: long, changes: much,
		},
		{
			Name: "Edda Thorsager", Town: "Weidenkehr", Skill: -0.45, From: 50, Check: evening - 40,
			Tanks:  []tank{{"left", rerio, 15}, {"right", paleatus, 13}, {"window", cacatuoides, 11}},
			warmer: -0.5, gh: 8, liveFood: 0.35, leaves: 0.3, dither: 0.4, cool: 0.3, light: 12, conditioning: short, changes: few,
		},
		{
			Name: "Falk Morgenroth", Town: "Erlenwört", Skill: 0.05, From: 24, Check: evening + 10,
			Tanks:  []tank{{"F-01", paleatus, 14}, {"F-02", rerio, 13}, {"F-03", scalare, 11}},
			warmer: 0, gh: 15, liveFood: 0.55, leaves: 0.3, dither: 0.3, cool: 0.45, light: 12, conditioning: usual, changes: some,
		},
		{
			Name: "Greta Silberbaum", Town: "Haselmoor", Skill: 0.50, From: 28, Check: evening, SpawnsOnly: true,
			Tanks:  []tank{{"Nr. 7", cacatuoides, 15}, {"Nr. 9", scalare, 13}},
			warmer: 0.3, gh: 6, liveFood: 0.75, leaves: 0.7, dither: 0.5, cool: 0.3, light: 11, conditioning: usual, changes: some,
		},
		{
			Name: "Harlan Whitcombe", Town: "Moosenbrück", Skill: -0.05, From: 44, Check: morning + 15,
			Tanks:  []tank{{"T3", paleatus, 16}, {"T4", rerio, 14}, {"T5", praecox, 11}},
			warmer: 0.3, gh: 10, liveFood: 0.50, leaves: 0.2, dither: 0.2, cool: 0.5, light: 12, conditioning: usual, changes: much,
		},
		{
			Name: "Ines Quellmalz", Town: "Birkenrode", Skill: 0.20, From: 18, Check: evening - 15,
			Tanks:  []tank{{"rack 1", rerio, 14}, {"rack 2", paleatus, 14}, {"rack 3", heteromorpha, 11}},
			warmer: -0.1, gh: 6, liveFood: 0.60, leaves: 0.5, dither: 0.3, cool: 0.4, light: 11, conditioning: usual, changes: some,
		},
		{
			Name: "Jorunn Eikaas", Town: "Ottersgrund", Skill: 0.30, From: 60, Check: morning, SpawnsOnly: true,
			Tanks:  []tank{{"small", praecox, 17}, {"long", heteromorpha, 15}},
			warmer: 0, gh: 5, liveFood: 0.65, leaves: 0.5, dither: 0.3, cool: 0.4, light: 12, conditioning: usual, changes: some,
		},
		{
			Name: "Konrad Fichtenau", Town: "Weidenkehr", Skill: -0.30, From: 30, Check: evening + 20,
			Tanks:  []tank{{"FR1", rerio, 13}, {"FR2", paleatus, 12}, {"FR3", scalare, 10}},
			warmer: 0.1, gh: 11, liveFood: 0.40, leaves: 0.2, dither: 0.3, cool: 0.35, light: 12, conditioning: short, changes: some,
		},
		{
			Name: "Lucille Ashdown", Town: "Weidenkehr", Skill: 0.15, From: 380, Check: evening + 20,
			Tanks:  []tank{{"FR5", rerio, 11}, {"FR6", cacatuoides, 10}, {"FR7", heteromorpha, 8}},
			warmer: 0.2, gh: 11, liveFood: 0.60, leaves: 0.4, dither: 0.4, cool: 0.3, light: 12, conditioning: usual, changes: some,
		},
	}
}

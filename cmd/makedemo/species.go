package main

// A species is what is planted for one species: the truth that the answers of
// the demo can be held against.
type species struct {
	Name string `json:"name"` // accepted scientific name

	// The chance to spawn on a day at risk is that of BaseLogOdds plus keeper's
	// skill, season, temperature and triggers, all on the log-odds scale.
	BaseLogOdds float64            `json:"base_log_odds"`
	Season      season             `json:"season"`
	Temperature slope              `json:"temperature"`
	OddsRatio   map[string]float64 `json:"odds_ratio"` // by trigger code, on a day at risk; those not named are 1

	WatchDays [2]int `json:"watch_days"` // a keeper gives an attempt up after so many days, evenly

	Hatch timing `json:"lay_to_hatch"`
	Swim  timing `json:"hatch_to_free_swimming"`
	Eggs  brood  `json:"eggs"`
	Lost  losses `json:"losses"`

	males, females [2]int  // in a group, evenly
	ph             float64 // usual in its tanks
}

// season multiplies the odds by exp(Amplitude) at its height.
type season struct {
	Amplitude float64 `json:"amplitude_log_odds"`
	PeakDay   float64 `json:"peak_day_of_year"`
}

// slope is the change of the log-odds for each degree above Usual.
type slope struct {
	LogOddsPerC float64 `json:"log_odds_per_c"`
	Usual       float64 `json:"usual_c"`
}

// timing is a lognormal time whose median changes by a factor a degree.
type timing struct {
	MedianHours float64 `json:"median_hours_at_25_c"`
	LogPerC     float64 `json:"log_change_per_c"`
	LogSD       float64 `json:"log_sd"`
}

// brood is the size of clutches and what becomes of the eggs. The shares vary
// between clutches with correlation Rho between the eggs of one.
type brood struct {
	Mean     float64 `json:"mean"`
	K        float64 `json:"k"`
	Fertile  float64 `json:"fertile_share"`
	Hatched  float64 `json:"hatched_of_fertile"`
	Swimming float64 `json:"swimming_of_hatched"`
	Rho      float64 `json:"rho"`
}

// losses are the shares of clutches that are lost as a whole: before the hatch,
// and of those that hatched before the fry swim.
type losses struct {
	BeforeHatch []loss `json:"before_hatch"`
	BeforeSwim  []loss `json:"hatched_but_before_free_swimming"`
}

type loss struct {
	Cause string  `json:"cause"`
	Share float64 `json:"share"`
}

// draw draws the cause of a loss, or none.
func draw(d *dice, list []loss) string {
	u := d.unit()
	for _, l := range list {
		if u < l.Share {
			return l.Cause
		}
		u -= l.Share
	}
	return ""
}

const (
	paleatus     = "Corydoras paleatus"
	rerio        = "Danio rerio"
	cacatuoides  = "Apistogramma cacatuoides"
	scalare      = "Pterophyllum scalare"
	heteromorpha = "Trigonostigma heteromorpha"
	praecox      = "Melanotaenia praecox"
)

// plantedSpecies lists the species of the club. Times of development, clutch
// sizes and usual temperatures are near figures published for the species or its
// genus; everything about triggers is made up.
func plantedSpecies() []*species {
	return []*species{
		{
			Name: paleatus, BaseLogOdds: -4.35, Season: season{0.35, 60}, Temperature: slope{-0.15, 23.5}, WatchDays: [2]int{10, 16},
			OddsRatio: map[string]float64{"pressure-drop": 3.5, "cool-refill": 2, "live-food": 1.5, "conditioning": 1.25},
			// 4.3 days to the hatch (Corydoras aff. paleatus, temperature not stated).
			Hatch: timing{98, -0.06, 0.10}, Swim: timing{72, -0.05, 0.15},
			Eggs:  brood{90, 4, 0.78, 0.82, 0.75, 0.06},
			Lost:  losses{[]loss{{"fungus", 0.10}, {"eaten by others", 0.05}, {"removed deliberately", 0.04}}, []loss{{"starved", 0.05}, {"fry eaten", 0.03}}},
			males: [2]int{2, 4}, females: [2]int{1, 3}, ph: 7.0,
		},
		{
			Name: rerio, BaseLogOdds: -1.20, Season: season{0.25, 100}, Temperature: slope{0.10, 25.5}, WatchDays: [2]int{9, 12},
			OddsRatio: map[string]float64{"pressure-drop": 1, "live-food": 1.4, "conditioning": 1.15},
			// 48 to 72 hours at 28.5 °C and the change with temperature of Kimmel et al. 1995.
			Hatch: timing{74, -0.068, 0.12}, Swim: timing{62, -0.06, 0.15},
			Eggs:  brood{130, 3, 0.85, 0.88, 0.80, 0.05},
			Lost:  losses{[]loss{{"fungus", 0.05}, {"eaten by parents", 0.12}, {"removed deliberately", 0.04}}, []loss{{"starved", 0.05}}},
			males: [2]int{2, 4}, females: [2]int{2, 5}, ph: 7.3,
		},
		{
			Name: cacatuoides, BaseLogOdds: -3.95, Season: season{0.20, 120}, Temperature: slope{0.20, 26.0}, WatchDays: [2]int{12, 16},
			OddsRatio: map[string]float64{"pressure-drop": 1, "live-food": 2, "leaf-litter": 1.5, "dither": 1.6},
			// 60 to 84 hours at 26 °C.
			Hatch: timing{78, -0.08, 0.10}, Swim: timing{112, -0.06, 0.12},
			Eggs:  brood{80, 6, 0.85, 0.85, 0.82, 0.05},
			Lost:  losses{[]loss{{"fungus", 0.05}, {"eaten by parents", 0.15}}, []loss{{"eaten by others", 0.05}}},
			males: [2]int{1, 1}, females: [2]int{1, 3}, ph: 6.6,
		},
		{
			Name: scalare, BaseLogOdds: -3.55, Season: season{0.15, 130}, Temperature: slope{0.25, 27.0}, WatchDays: [2]int{12, 16},
			OddsRatio: map[string]float64{"pressure-drop": 1, "live-food": 1.8, "conditioning": 1.2},
			// 48 to 60 hours at 27 °C, free-swimming after another 96 to 144.
			Hatch: timing{64, -0.08, 0.08}, Swim: timing{134, -0.06, 0.10},
			Eggs:  brood{340, 5, 0.88, 0.85, 0.85, 0.05},
			Lost:  losses{[]loss{{"eaten by parents", 0.30}, {"fungus", 0.06}, {"infertile", 0.04}}, []loss{{"fry eaten", 0.10}}},
			males: [2]int{1, 1}, females: [2]int{1, 1}, ph: 6.8,
		},
		{
			Name: heteromorpha, BaseLogOdds: -3.90, Season: season{0.30, 110}, Temperature: slope{0.15, 26.0}, WatchDays: [2]int{10, 14},
			OddsRatio: map[string]float64{"pressure-drop": 1.6, "live-food": 1.5, "leaf-litter": 2, "cool-refill": 1.3},
			// 18 to 30 hours at 27 °C.
			Hatch: timing{28, -0.07, 0.12}, Swim: timing{98, -0.06, 0.12},
			Eggs:  brood{85, 3, 0.70, 0.80, 0.70, 0.08},
			Lost:  losses{[]loss{{"fungus", 0.12}, {"eaten by parents", 0.10}}, []loss{{"starved", 0.08}}},
			males: [2]int{3, 5}, females: [2]int{3, 5}, ph: 6.0,
		},
		{
			Name: praecox, BaseLogOdds: -3.45, Season: season{0.25, 150}, Temperature: slope{0.10, 25.0}, WatchDays: [2]int{10, 14},
			OddsRatio: map[string]float64{"pressure-drop": 1, "live-food": 1.4, "cool-refill": 1.5},
			// 7 to 9 days at 25.5 °C (Melanotaenia fluviatilis), swimming within 10 hours.
			Hatch: timing{190, -0.05, 0.10}, Swim: timing{8, -0.05, 0.30},
			Eggs:  brood{55, 2.5, 0.85, 0.80, 0.85, 0.06},
			Lost:  losses{[]loss{{"fungus", 0.10}, {"removed deliberately", 0.05}}, nil},
			males: [2]int{2, 3}, females: [2]int{2, 4}, ph: 7.2,
		},
	}
}

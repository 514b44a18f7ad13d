package main

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

// truth is what truth.json says: what was planted, and what the dice made of it.
type truth_ struct {
	Note      string               `json:"note"`
	Club      string               `json:"club"`
	Seed      uint64               `json:"seed"`
	TimeZone  string               `json:"time_zone"`
	FirstDay  string               `json:"first_day"`
	LastDay   string               `json:"last_day"`
	Counts    counts               `json:"counts"`
	Triggers  []trigger            `json:"triggers"`
	Weather   weatherTruth         `json:"weather"`
	Species   []*species           `json:"species"`
	Keepers   []keeperTruth        `json:"keepers"`
	Realised  map[string]*realised `json:"realised"` // by species
	Loggers   []loggerCount        `json:"loggers"`
	Blemishes []plantedBlemish     `json:"blemishes"`
}

type trigger struct {
	Code string `json:"code"`
	Per  string `json:"odds_ratio_per"`
}

type counts struct {
	Keepers  int `json:"keepers"`
	Attempts int `json:"attempts"`
	Spawned  int `json:"spawned"`
	Running  int `json:"running"`
	Clutches int `json:"clutches"`
}

type weatherTruth struct {
	FallHPa      float64 `json:"fall_hpa"`
	WindowHours  float64 `json:"window_hours"`
	ShareOfDays  float64 `json:"share_of_days"`
	LowestHPa    float64 `json:"lowest_hpa"`
	HighestHPa   float64 `json:"highest_hpa"`
	DeepestFall  float64 `json:"deepest_fall_in_24_h_hpa"`
	AltitudeNote string  `json:"altitude_note"`
}

type keeperTruth struct {
	Name       string           `json:"name"`
	Town       string           `json:"town"`
	Log        string           `json:"log"`
	Skill      float64          `json:"skill_log_odds"`
	Records    string           `json:"records"` // attempts, or spawnings only
	Check      string           `json:"daily_check_near"`
	Attempts   map[string]int   `json:"attempts"` // by species, as written down
	Spawned    map[string]int   `json:"spawned"`
	LeftTanks  int              `json:"running"`
	tanksOfLog []string
}

// realised is what the dice made of what was planted, in the attempts of keepers
// who write down failures too.
type realised struct {
	Attempts          int     `json:"attempts"`
	Spawned           int     `json:"spawned"`
	DaysAtRisk        int     `json:"days_at_risk"`
	DaysAfterFall     int     `json:"days_at_risk_after_a_fall"`
	SpawnedAfterFall  int     `json:"spawned_on_a_day_after_a_fall"`
	CrudeOddsRatio    float64 `json:"crude_odds_ratio_pressure_drop"`
	Clutches          int     `json:"clutches_of_all_keepers"`
	MeanEggs          float64 `json:"mean_eggs_of_all_keepers"`
	SpawnedOfAttempts float64 `json:"share_spawned"`
}

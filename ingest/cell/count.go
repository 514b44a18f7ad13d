package cell

import (
	"math"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// A Count is a number of things counted, of zero or more. Low, High and Value
// are the same unless Range is set.
type Count struct {
	Value     int64 // the count, the middle of a range (rounded down), or the bound
	Low, High int64
	Approx    bool // about, ~, ca.
	AtLeast   bool // 200+, >300: Value is the bound, not a count
	AtMost    bool // <50: Value is the bound, not a count
	Range     bool // 100-150
	Remark    string
}

// Bound reports whether only a bound is known.
func (c Count) Bound() bool { return c.AtLeast || c.AtMost }

// A Noun names what a column counts, so that "120 eggs" can be read among eggs
// and "30 fry" cannot.
type Noun string

const (
	Things  Noun = ""     // only words such as pcs and Stück
	Eggs    Noun = "eggs" // eggs of any state
	Fry     Noun = "fry"  // larvae and young fish
	Fish    Noun = "fish" // grown fish
	Males   Noun = "males"
	Females Noun = "females"
)

var nouns = map[Noun]map[string]bool{
	Things:  set("pc", "pcs", "piece", "pieces", "stk", "st", "stuck", "stueck", "pz", "pzs", "pieza", "piezas", "piece s", "n"),
	Eggs:    set("egg", "eggs", "ei", "eier", "oeuf", "oeufs", "huevo", "huevos"),
	Fry:     set("fry", "larva", "larvae", "wriggler", "wrigglers", "wiggler", "wigglers", "hatchlings", "larve", "larven", "jungfisch", "jungfische", "larves", "alevin", "alevins", "larvas", "alevines", "crias"),
	Fish:    set("fish", "fishes", "fisch", "fische", "tier", "tiere", "poisson", "poissons", "pez", "peces"),
	Males:   set("male", "males", "m", "♂", "mannchen", "maennchen", "macho", "machos"),
	Females: set("female", "females", "f", "♀", "weibchen", "w", "femelle", "femelles", "hembra", "hembras", "h"),
}

// countWords are words for an amount that are no number. None and its kin are
// among them: they may mean 0 or "not recorded". Only the digit 0 is a zero.
var countWords = set(
	"none", "nil", "null", "zero", "nothing", "no", "few", "a few", "some", "several", "many", "lots", "a lot", "loads", "plenty", "hundreds", "thousands", "dozens", "handful", "a handful", "all", "most", "half",
	"keine", "kein", "keins", "null", "nichts", "wenige", "einige", "ein paar", "mehrere", "viele", "sehr viele", "hunderte", "tausende", "dutzende", "handvoll", "eine handvoll", "alle", "die meisten", "halfte",
	"aucun", "aucune", "rien", "quelques", "quelques uns", "plusieurs", "beaucoup", "des centaines", "centaines", "des milliers", "une poignee", "tous", "toutes",
	"ninguno", "ninguna", "nada", "cero", "pocos", "pocas", "unos pocos", "algunos", "algunas", "varios", "varias", "muchos", "muchas", "cientos", "miles", "un punado", "todos", "todas",
)

// ParseCount reads a count of noun from text in a column with decimal mark d.
func ParseCount(text string, d Decimal, noun Noun) (Count, *Fault) {
	if isCountWord(text) {
		return Count{}, countWordFault(text)
	}
	n, fault := ParseNumber(text, d)
	if fault != nil {
		if !strings.ContainsFunc(text, isDigit) && fault.Code == problem.NumberUnreadable {
			return Count{}, countWordFault(text)
		}
		return Count{}, fault
	}
	return countFrom(n, noun)
}

func isCountWord(text string) bool {
	return len(text) < 40 && countWords[word.Fold(text)]
}

func countWordFault(text string) *Fault {
	return faultf(problem.CountWord, "write the number; for a zero write 0, or say in the mapping which words mean it: zero = ["+quote(tidy(text))+"]",
		"%s is not a number, and only the digit 0 means none", quote(text))
}

// CountOf reads a cell. It is not OK, without a Fault, when nothing was
// recorded.
func CountOf(c source.Cell, d Decimal, noun Noun) (club.Maybe[Count], *Fault) {
	var none club.Maybe[Count]
	if c.Kind == source.Text && isCountWord(c.Text) {
		return none, countWordFault(c.Text)
	}
	n, fault := NumberOf(c, d)
	switch {
	case fault != nil && c.Kind == source.Text && fault.Code == problem.NumberUnreadable && !strings.ContainsFunc(c.Text, isDigit):
		return none, countWordFault(c.Text)
	case fault != nil || !n.OK:
		return none, fault
	}
	count, fault := countFrom(n.V, noun)
	return club.Maybe[Count]{V: count, OK: fault == nil}, fault
}

func countFrom(n Number, noun Noun) (Count, *Fault) {
	if unit := word.Fold(n.Unit); n.Unit != "" && !nouns[Things][unit] && !nouns[noun][unit] {
		if unit == "%" {
			return Count{}, faultf(problem.NumberUnreadable, "write how many there were", "a share of %s %% stands where a count is needed", plain(n.Value))
		}
		return Count{}, faultf(problem.UnitUnknown, "write the count alone", "%s is not what this column counts", quote(n.Unit))
	}
	whole := n.Low == math.Trunc(n.Low) && n.High == math.Trunc(n.High) && (n.Range || n.Value == math.Trunc(n.Value))
	if !whole {
		return Count{}, faultf(problem.NumberUnreadable, "write a whole number", "a count has no fractions, but this is %s", n)
	}
	if n.Low < 0 || n.High > mostPrecise {
		return Count{}, faultf(problem.NumberUnreadable, "write a whole number, not below 0", "%s cannot be a count", n)
	}
	low, high := int64(n.Low), int64(n.High)
	return Count{Value: (low + high) / 2, Low: low, High: high, Approx: n.Approx, AtLeast: n.AtLeast, AtMost: n.AtMost, Range: n.Range, Remark: n.Remark}, nil
}

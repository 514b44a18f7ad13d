package species

import (
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"gravid/ingest/cell/word"
)

// A written name is a name as written, taken to pieces.
type written struct {
	text   string   // without what stands in quotes and brackets
	words  []string // folded words of text, without marks such as cf.
	raw    []string // the same words as written
	asides []string // what stands in brackets
	strain []string // strains, places, collection numbers and marks, as written
	hybrid bool     // a cross
	doubt  bool     // a question mark, or aff.
	open   bool     // sp. in place of an epithet
	joined bool     // a sign that joins two names
}

var (
	doubleQuoted = regexp.MustCompile(`["“”„«»]([^"“”„«»]*)["“”„«»]`)
	singleQuoted = regexp.MustCompile(`(^|[\s(])['‘‚‹` + "`" + `]([^'’‘›` + "`" + `]+)['’‘›` + "`" + `]($|[\s).,;])`)
	bracketed    = regexp.MustCompile(`[(\[]([^()\[\]]*)[)\]]`)
	// authorYear is an author with the year of the description behind a name.
	authorYear = regexp.MustCompile(`\p{Lu}[\p{L}.'’-]+(?:(?:\s*[,&]\s*|\s+(?:and|und|et|y|in)\s+)\p{Lu}[\p{L}.'’-]+)*,\s*(?:1[789]|20)\d\d\b`)
	authorOnly = regexp.MustCompile(`^` + authorYear.String() + `$`)
	// collectionNumber is a number of the catfish trade: L, LDA, C and CW.
	collectionNumber = regexp.MustCompile(`\b(?:L|LDA|C|CW)[- ]?\d{1,3}[a-z]?\b`)
	crossSign        = regexp.MustCompile(`×|\s[xX](?:\s|$)`)
	joiningSign      = regexp.MustCompile(`[/+&;]|\s(?:and|und|et|y|or|oder|ou|o|mit|with|avec|con)\s`)
)

var hybridWords = []string{"hybrid", "hybrids", "hybride", "hybriden", "hibrido", "hibridos", "kreuzung", "crossbreed", "crossbred"}

// read takes a name to pieces.
func read(name string) written {
	text := norm.NFC.String(name)
	w := written{hybrid: crossSign.MatchString(text), doubt: strings.ContainsAny(text, "?¿")}
	text = w.takeQuoted(text)
	text = w.takeBracketed(text)
	if bare := authorYear.ReplaceAllString(text, " "); hasLetters(bare) {
		text = bare
	}
	if bare := collectionNumber.ReplaceAllString(text, " "); hasLetters(bare) {
		w.strain = append(w.strain, collectionNumber.FindAllString(text, -1)...)
		text = bare
	}
	w.joined = joiningSign.MatchString(text)
	w.text = text
	w.takeWords(text)
	return w
}

// takeQuoted moves what stands in quotation marks to the strain, unless there
// is nothing else.
func (w *written) takeQuoted(text string) string {
	bare := doubleQuoted.ReplaceAllString(text, " ")
	bare = singleQuoted.ReplaceAllString(bare, "$1 $3")
	if !hasLetters(bare) {
		return text
	}
	for _, m := range doubleQuoted.FindAllStringSubmatch(text, -1) {
		w.addStrain(m[1])
	}
	for _, m := range singleQuoted.FindAllStringSubmatch(doubleQuoted.ReplaceAllString(text, " "), -1) {
		w.addStrain(m[2])
	}
	return bare
}

// takeBracketed moves what stands in brackets to the asides, except authors and
// unless there is nothing else.
func (w *written) takeBracketed(text string) string {
	bare := bracketed.ReplaceAllString(text, " ")
	if !hasLetters(bare) {
		return text
	}
	for _, m := range bracketed.FindAllStringSubmatch(text, -1) {
		if a := strings.TrimSpace(m[1]); a != "" && !authorOnly.MatchString(a) {
			w.asides = append(w.asides, a)
		}
	}
	return bare
}

func (w *written) addStrain(s string) {
	if s = strings.TrimSpace(s); s != "" {
		w.strain = append(w.strain, s)
	}
}

// takeWords splits the text and sorts out marks of identification.
func (w *written) takeWords(text string) {
	for _, raw := range strings.FieldsFunc(text, isBreak) {
		asWritten := strings.Trim(raw, ".,:")
		for _, folded := range strings.Fields(word.Fold(raw)) {
			switch {
			case folded == "sp" || folded == "spp" || folded == "spec" || folded == "species":
				w.open = true
			case folded == "cf":
				w.addStrain("cf.")
			case folded == "aff":
				w.doubt = true
				w.addStrain("aff.")
			case folded == "var" || folded == "subsp" || folded == "ssp" || folded == "agg":
			case slices.Contains(hybridWords, folded):
				w.hybrid = true
			default:
				w.words, w.raw = append(w.words, folded), append(w.raw, asWritten)
				asWritten = "" // kept with the first of its words
			}
		}
	}
}

func isBreak(r rune) bool { return strings.ContainsRune(" \t\n\r\u00a0,;/+&|_()[]", r) }

func hasLetters(text string) bool {
	return strings.Trim(word.Fold(text), "0123456789 #%°♀♂") != ""
}

// strainOf joins the parts of a strain with those of the words that are left.
func (w *written) strainOf(left []string) string {
	parts := slices.Clone(w.strain)
	if text := strings.Join(strings.Fields(strings.Join(left, " ")), " "); text != "" {
		parts = append([]string{text}, parts...)
	}
	return strings.Join(parts, ", ")
}

// describers are the authors of well-known species, folded, which may stand
// behind a name without a year.
var describers = []string{
	"linnaeus", "linne", "hamilton", "buchanan", "regan", "myers", "meinken", "peters", "heckel", "steindachner", "gunther",
	"boulenger", "weber", "gill", "agassiz", "cochran", "schultz", "ahl", "eigenmann", "ladiges", "bloch", "cuvier", "valenciennes",
	"jenyns", "cope", "knaack", "roberts", "bleeker", "blyth", "lin", "duncker", "vogt", "kullander", "haseman", "brind", "cichocki",
	"fowler", "geisler", "filippi", "richardson", "castelnau", "gery", "mahnert", "temminck", "schlegel", "jubb", "pfeffer", "rossel",
	"lesson", "lacepede", "isbrucker", "nijssen", "poeser", "kempkes", "trewavas", "poll", "matthes", "konings", "fernandez", "yepez", "holly",
}

// strainWords name forms that breeders keep of one species, folded. Behind a
// common name only these are a strain; any other word may make it the name of
// another fish.
var strainWords = []string{
	"albino", "albinos", "leucistic", "lutino", "wild", "wildform", "wildfang", "wildtype", "caught", "wc", "wf", "f0", "f1", "f2", "f3", "f4",
	"tank", "bred", "nz", "nachzucht", "longfin", "long", "fin", "finned", "veil", "veiltail", "schleier", "voile", "velo", "halfmoon",
	"plakat", "crowntail", "koi", "marble", "super", "delta", "gold", "golden", "red", "blue", "black", "white", "yellow", "orange",
	"platinum", "rot", "blau", "schwarz", "weiss", "gelb", "rouge", "bleu", "noir", "blanc", "jaune", "rojo", "azul", "negro", "blanco",
	"strain", "stamm", "line", "linie", "souche", "cepa",
}

// plainStrainWords may stand before a name without making it another one.
var plainStrainWords = []string{"albino", "leucistic", "lutino", "wild", "wf", "wc", "f0", "f1", "f2", "f3", "f4", "longfin"}

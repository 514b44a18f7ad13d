package cell

import (
	"slices"
	"strings"

	"gravid/ingest/cell/word"
	"gravid/ingest/club"
	"gravid/ingest/problem"
	"gravid/ingest/source"
)

// ParseLoss reads a cause of loss in words and returns it as club.Losses names
// it, or an empty text where the words say that nothing was lost. Every word
// must be known: "moved to a fungus-free tank" is no loss by fungus. "Eaten"
// alone does not say by whom, and two causes at once are refused.
func ParseLoss(text string) (string, *Fault) {
	folded := word.Fold(text)
	if noLoss[folded] {
		return "", nil
	}
	if cause, ok := lossWords[folded]; ok {
		return cause, nil
	}
	if cause, ok := lossWords[withoutFillers(folded, lossFillers)]; ok {
		return cause, nil
	}
	return "", faultf(problem.LossUnknown, "write one of: "+strings.Join(club.Losses, ", "), "%s is not one known cause of loss", quote(text))
}

// LossOf reads a cell. The cause is empty, without a Fault, when no loss was
// recorded.
func LossOf(c source.Cell) (string, *Fault) { return listed(c, ParseLoss, problem.LossUnknown) }

// ParseEggsMethod reads how eggs were counted and returns it as
// club.EggsMethods names it.
func ParseEggsMethod(text string) (string, *Fault) {
	folded := word.Fold(text)
	if method, ok := methodWords[folded]; ok {
		return method, nil
	}
	if method, ok := methodWords[withoutFillers(folded, methodFillers)]; ok {
		return method, nil
	}
	return "", faultf(problem.NumberUnreadable, "write one of: "+strings.Join(club.EggsMethods, ", "), "%s is not a known way of counting", quote(text))
}

// EggsMethodOf reads a cell. The method is empty, without a Fault, when nothing
// was recorded.
func EggsMethodOf(c source.Cell) (string, *Fault) {
	return listed(c, ParseEggsMethod, problem.NumberUnreadable)
}

// listed reads a cell that holds a word of a list.
func listed(c source.Cell, parse func(string) (string, *Fault), code problem.Code) (string, *Fault) {
	switch c.Kind {
	case source.Blank:
		return "", nil
	case source.Text:
		// Parsing comes first: "unknown" is a cause of loss.
		value, fault := parse(c.Text)
		if fault != nil && IsMissing(c.Text) {
			return "", nil
		}
		return value, fault
	case source.Fault, source.Formula:
		return "", unreadable(c)
	}
	return "", faultf(code, "write it in words", "%s is not a word", quote(c.Text))
}

func withoutFillers(folded string, fillers map[string]bool) string {
	words := slices.DeleteFunc(strings.Fields(folded), func(w string) bool { return fillers[w] })
	return strings.Join(words, " ")
}

// noLoss are texts that say that nothing was lost.
var noLoss = set("no", "none", "no loss", "no losses", "0", "nothing", "kein", "keine", "keine verluste", "kein verlust", "aucun", "aucune", "aucune perte", "pas de pertes", "ninguna", "ninguno", "sin perdidas", "sin bajas")

// lossFillers are words that change nothing about the cause.
var lossFillers = set("all", "the", "eggs", "egg", "clutch", "got", "were", "was", "went", "them", "everything", "due", "to", "whole", "batch",
	"alle", "alles", "eier", "gelege", "das", "die", "wurden", "wurde", "ganz", "komplett",
	"tous", "les", "oeufs", "oeuf", "tout", "ponte", "la", "ete",
	"todos", "todo", "los", "huevos", "huevo", "puesta", "por")

var lossWords = listedWords(lossFillers, map[string][]string{
	"infertile": {"infertile", "not fertile", "unfertile", "unfertilised", "unfertilized", "not fertilised", "not fertilized",
		"unbefruchtet", "nicht befruchtet", "infertil", "non fecondes", "non feconde", "infeconds", "sans fecondation",
		"infertiles", "no fecundados", "sin fecundar"},
	"fungus": {"fungus", "fungused", "fungussed", "fungal", "fungi", "mould", "mouldy", "mold", "moldy", "saprolegnia", "lost fungus",
		"pilz", "verpilzt", "verpilzung", "schimmel", "verschimmelt", "champignon", "champignons", "moisis", "moisi", "moisissure", "mycose", "mycoses",
		"hongo", "hongos", "con hongos", "enmohecidos", "moho"},
	"eaten by parents": {"eaten by parents", "eaten by parent", "parents ate", "parents ate eggs", "eaten by pair", "eaten by male", "eaten by father", "eaten by female", "eaten by mother", "eaten by adults", "cannibalised by parents",
		"von eltern gefressen", "eltern gefressen", "elterntiere gefressen", "vom mannchen gefressen", "vom weibchen gefressen", "eltern haben gefressen", "von den eltern gefressen",
		"manges par parents", "manges par parent", "parents ont mange", "manges par male", "manges par femelle",
		"comidos padres", "comidos por padres", "comidos macho", "comidos hembra"},
	"eaten by others": {"eaten by others", "eaten by other fish", "eaten by tank mates", "eaten by tankmates", "eaten by snails", "eaten by snail", "eaten by shrimp", "eaten by planaria", "eaten by hydra", "snails", "snails ate", "tank mates", "other fish", "other fish ate",
		"von anderen gefressen", "von anderen fischen gefressen", "von schnecken gefressen", "schnecken", "vom beibesatz gefressen", "beibesatz", "von den schnecken gefressen",
		"manges par autres", "manges par escargots", "manges par autres poissons", "escargots", "comidos otros", "comidos otros peces", "comidos caracoles", "caracoles"},
	"fry eaten": {"fry eaten", "eaten fry", "larvae eaten", "wrigglers eaten", "parents ate fry", "ate fry", "fry eaten by parents", "eaten as fry",
		"jungfische gefressen", "larven gefressen", "brut gefressen", "alevins manges", "larves mangees", "alevines comidos", "larvas comidas", "crias comidas"},
	club.RemovedDeliberately: {"removed deliberately", "removed", "removed on purpose", "removed deliberate", "moved", "moved out", "culled", "given away", "gave away", "sold", "not kept",
		"entnommen", "entfernt", "abgegeben", "verkauft", "umgesetzt", "weggegeben", "absichtlich entfernt",
		"retires", "retire", "donnes", "vendus", "deplaces", "retires volontairement", "retirados", "regalados", "vendidos", "descartados", "trasladados"},
	"failed to hatch": {"failed to hatch", "failed hatch", "did not hatch", "didnt hatch", "not hatched", "never hatched", "dead in shell", "no hatch",
		"nicht geschlupft", "nicht geschluepft", "kein schlupf", "im ei abgestorben", "non eclos", "pas declosion", "pas eclos", "morts dans oeuf", "no eclosionaron", "no eclosiono", "sin eclosion"},
	"deformed": {"deformed", "deformity", "deformities", "crippled", "belly sliders", "missgebildet", "verkruppelt", "verkrueppelt", "deformiert", "deformes", "malformes", "malformation", "deformados", "deformes", "malformados"},
	"starved":  {"starved", "starvation", "no first food", "no food", "starved fry", "fry starved", "verhungert", "kein futter", "kein erstfutter", "morts de faim", "faim", "pas de nourriture", "hambre", "sin alimento", "inanicion"},
	"equipment": {"equipment", "equipment failure", "heater", "heater failed", "heater failure", "power cut", "power failure", "power outage", "dried out", "dried", "leak", "pump failed", "filter failed", "tank leak",
		"technik", "heizer", "heizer defekt", "heizung", "heizerausfall", "stromausfall", "ausgetrocknet", "vertrocknet", "technischer defekt", "panne", "panne de courant", "coupure de courant", "chauffage", "desseches", "a sec", "averia", "apagon", "corte de luz", "calentador", "secos"},
	"disease":           {"disease", "sick", "illness", "parasites", "velvet", "ich", "bacteria", "bacterial", "columnaris", "krankheit", "krank", "erkrankt", "parasiten", "maladie", "malades", "parasites internes", "enfermedad", "enfermos"},
	"jumped":            {"jumped", "jumped out", "jumper", "gesprungen", "herausgesprungen", "rausgesprungen", "saute", "sautes", "saltaron", "salto"},
	"sibling predation": {"sibling predation", "siblings", "eaten by siblings", "cannibalism", "siblings ate", "fry ate siblings", "geschwister", "von geschwistern gefressen", "kannibalismus", "cannibalisme", "canibalismo", "comidos hermanos", "manges par freres"},
	"unknown":           {"unknown", "unknown cause", "cause unknown", "disappeared", "vanished", "gone", "unbekannt", "verschwunden", "inconnu", "inconnue", "disparus", "desconocido", "desconocida", "desaparecidos"},
	"lost count":        {"lost count", "lost track", "not counted", "uberblick verloren", "nicht gezahlt", "nicht gezaehlt", "perdu compte", "non comptes", "sin contar", "perdi cuenta"},
})

// methodFillers are words that change nothing about the way of counting.
var methodFillers = set("by", "the", "a", "from", "of", "per", "only", "hand", "each", "von", "mit", "nach", "vom", "par", "sur", "por", "all", "count", "method")

var methodWords = listedWords(methodFillers, map[string][]string{
	"counted": {"counted", "count", "full", "exact", "full count", "counted all", "gezahlt", "gezaehlt", "zahlung", "genau", "ausgezahlt", "compte", "comptes", "comptage", "compte exact", "contado", "contados", "conteo", "recuento"},
	"photo":   {"photo", "photograph", "picture", "image", "foto", "bild", "counted photo", "photo counted", "auf foto gezahlt", "foto gezahlt", "image comptee", "fotografia", "imagen", "photographie"},
	"sample": {"sample", "sampled", "subsample", "sub sample", "part counted", "weighed", "weight", "by weight", "volume", "volumetric", "gravimetric", "displacement",
		"stichprobe", "probe", "teilzahlung", "gewogen", "hochgerechnet", "echantillon", "echantillonnage", "pesee", "muestra", "muestreo", "pesado"},
	"estimated": {"estimated", "estimate", "est", "approx", "guess", "guessed", "about", "ca", "by eye", "roughly", "geschatzt", "geschaetzt", "schatzung", "gesch", "estime", "estimes", "estimation", "env", "estimado", "estimados", "estimacion", "aprox"},
})

func listedWords(fillers map[string]bool, lists map[string][]string) map[string]string {
	m := map[string]string{}
	for value, list := range lists {
		for _, w := range list {
			for _, key := range []string{w, withoutFillers(w, fillers)} {
				if key == "" {
					continue
				}
				if other, taken := m[key]; taken && other != value {
					panic("cell: " + w + " stands for " + other + " and " + value)
				}
				m[key] = value
			}
		}
	}
	return m
}

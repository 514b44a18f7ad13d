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
	"infertile": {"unfertile eggs", "infertility", "no fertile", "none fertile", "eggs not fertile", "not viable", "duds",
		"taub", "nicht entwickelt", "keine befruchtung", "ohne befruchtung", "unfruchtbar", "pas fecondes", "pas feconde", "non fertiles", "non fertile", "steriles", "infecond", "pas de fecondation", "no fertiles", "no fertil", "esteriles", "sin fecundacion", "no fertilizados", "no fecundada", "no fecundado",
		"infertile", "not fertile", "unfertile", "unfertilised", "unfertilized", "not fertilised", "not fertilized",
		"unbefruchtet", "nicht befruchtet", "infertil", "non fecondes", "non feconde", "infeconds", "sans fecondation",
		"infertiles", "no fecundados", "sin fecundar"},
	"fungus": {"fungal infection", "fungused over", "fungused up", "fungus attack", "fungus infection", "egg fungus", "moulded", "molded", "gone mouldy", "with fungus", "covered in fungus", "white fungus", "fungussed over",
		"pilzbefall", "eipilz", "laichverpilzung", "durch pilz", "wegen pilz", "von pilz befallen", "pilz befallen", "schimmlig", "schimmelig", "pilzig",
		"champignonnes", "mycoses sur", "mousse", "moisissures", "mycosee", "mycosees", "moisies", "moisie", "couverts de champignons", "champi",
		"fungados", "mohosos", "mohosa", "enmohecida", "hongueados", "por hongos", "infeccion por hongos", "ataque de hongos", "hongo blanco",
		"fungus", "fungused", "fungussed", "fungal", "fungi", "mould", "mouldy", "mold", "moldy", "saprolegnia", "lost fungus",
		"pilz", "verpilzt", "verpilzung", "schimmel", "verschimmelt", "champignon", "champignons", "moisis", "moisi", "moisissure", "mycose", "mycoses",
		"hongo", "hongos", "con hongos", "enmohecidos", "moho"},
	"eaten by parents": {"eaten by the parents", "parents ate them", "parents ate all", "parents eating eggs", "pair ate", "pair ate eggs", "male ate", "male ate eggs", "female ate", "female ate eggs", "adults ate", "adults ate eggs", "eaten by breeders", "breeders ate", "eaten by the adults", "eaten parents", "parent ate", "dad ate", "mum ate", "mom ate", "eaten by both parents", "father ate", "mother ate", "egg eating by parents", "parents eating", "filial cannibalism",
		"eltern frassen", "eltern haben eier gefressen", "gefressen von eltern", "gefressen von den eltern", "durch eltern gefressen", "vom paar gefressen", "paar hat gefressen", "mannchen hat gefressen", "weibchen hat gefressen", "mannchen frass", "weibchen frass", "vom vater gefressen", "von der mutter gefressen", "von elterntieren gefressen", "von den elterntieren gefressen", "elternfrass", "elternfraß", "von zuchttieren gefressen", "gefressen eltern", "gefressen vom mannchen", "gefressen vom weibchen", "gefressen durch eltern",
		"parents mange", "manges par couple", "manges par le couple", "manges par le male", "manges par la femelle", "mangee par parents", "manges par leurs parents", "mangee par le male", "mangee par la femelle", "mangee par le couple", "mangee par couple", "manges par les adultes", "manges par adultes", "devores par parents", "devores par les parents", "parents ont devore", "male a mange", "femelle a mange", "couple a mange", "devoree par parents", "manges par geniteurs", "manges par reproducteurs", "mangees par parents",
		"comida por los padres", "comida por padres", "se los comieron los padres", "padres se los comieron", "padres comieron", "los padres se los comieron", "se comieron los padres", "comidos por el macho", "comidos por la hembra", "comidos por la pareja", "comidos pareja", "comida por el macho", "comida por la hembra", "comida por la pareja", "devorados por padres", "devorados por los padres", "macho comio", "hembra comio", "comidos por adultos", "comidos por los adultos", "comidos por progenitores", "comidos por los progenitores", "se los comio el macho", "se los comio la hembra", "se la comieron los padres",
		"eaten by parents", "eaten by parent", "parents ate", "parents ate eggs", "eaten by pair", "eaten by male", "eaten by father", "eaten by female", "eaten by mother", "eaten by adults", "cannibalised by parents",
		"von eltern gefressen", "eltern gefressen", "elterntiere gefressen", "vom mannchen gefressen", "vom weibchen gefressen", "eltern haben gefressen", "von den eltern gefressen",
		"manges par parents", "manges par parent", "parents ont mange", "manges par male", "manges par femelle",
		"comidos padres", "comidos por padres", "comidos macho", "comidos hembra"},
	"eaten by others": {"snail predation", "eaten by ramshorns", "eaten by the snails", "eaten by corys", "eaten by shrimps", "snails got them", "snails ate them", "other fish ate them", "tankmates ate", "tank mates ate", "eaten by dithers", "eaten by plecs", "shrimp ate", "shrimp", "planaria", "hydra",
		"schneckenfrass", "schneckenfraß", "von garnelen gefressen", "garnelen", "planarien", "von planarien gefressen", "hydren", "andere fische", "andere fische gefressen", "von mitbewohnern gefressen", "mitbewohner", "von beifischen gefressen", "gefressen von schnecken", "gefressen von anderen", "durch schnecken", "gefressen von anderen fischen", "gefressen von garnelen", "schnecken haben gefressen",
		"planaires", "manges par les planaires", "manges par crevettes", "manges par les crevettes", "crevettes", "autres poissons", "manges par cohabitants", "manges par les cohabitants", "manges par planaires", "mangee par escargots", "mangee par les escargots", "mangee par autres poissons", "mangee par d autres poissons", "manges par d autres poissons", "hydres",
		"planarias", "comidos por caracoles", "comidos por los caracoles", "comidos por otros peces", "comidos por otros", "comidos por camarones", "comidos por gambas", "gambas", "otros peces", "comida por otros peces", "comida por caracoles", "comida por los caracoles", "comidos por planarias", "comidos por companeros", "hidras", "se los comieron los caracoles", "se los comieron otros peces",
		"eaten by others", "eaten by other fish", "eaten by tank mates", "eaten by tankmates", "eaten by snails", "eaten by snail", "eaten by shrimp", "eaten by planaria", "eaten by hydra", "snails", "snails ate", "tank mates", "other fish", "other fish ate",
		"von anderen gefressen", "von anderen fischen gefressen", "von schnecken gefressen", "schnecken", "vom beibesatz gefressen", "beibesatz", "von den schnecken gefressen",
		"manges par autres", "manges par escargots", "manges par autres poissons", "escargots", "comidos otros", "comidos otros peces", "comidos caracoles", "caracoles"},
	"fry eaten": {"fry were eaten", "ate the fry", "wigglers eaten", "eaten larvae", "eaten wrigglers", "parents ate larvae", "parents ate wrigglers", "fry eaten by pair", "eaten after hatch", "eaten after hatching", "fry predation",
		"larven von eltern gefressen", "jungfische von eltern gefressen", "nach dem schlupf gefressen", "brut von eltern gefressen", "eltern haben larven gefressen", "eltern haben jungfische gefressen", "larven wurden gefressen",
		"alevins devores", "larves devorees", "alevins manges par parents", "larves mangees par parents", "parents ont mange alevins", "parents ont mange larves", "crias devoradas", "alevines devorados", "alevines comidos por padres", "larvas comidas por padres", "se comieron alevines", "se comieron larvas",
		"fry eaten", "eaten fry", "larvae eaten", "wrigglers eaten", "parents ate fry", "ate fry", "fry eaten by parents", "eaten as fry",
		"jungfische gefressen", "larven gefressen", "brut gefressen", "alevins manges", "larves mangees", "alevines comidos", "larvas comidas", "crias comidas"},
	club.RemovedDeliberately: {"removed by me", "taken out", "taken out on purpose", "eggs removed by me", "discarded", "disposed", "thrown out", "sold on", "passed on", "given to friend", "given to club", "rehomed", "destroyed on purpose", "culled on purpose",
		"von mir entfernt", "absichtlich", "bewusst entfernt", "verschenkt", "weitergegeben", "abgesaugt von mir", "aussortiert", "entsorgt", "gemerzt", "getotet absichtlich", "herausgenommen", "selbst entfernt",
		"donne", "vendu", "retires expres", "retiree volontairement", "enleves", "enleves volontairement", "cedes", "jetes", "elimines volontairement", "enlevee volontairement", "retires par moi",
		"eliminados", "retirados a proposito", "cedidos", "donados", "retirada a proposito", "tirados", "quitados", "sacados a proposito", "retirados por mi",
		"removed deliberately", "removed", "removed on purpose", "removed deliberate", "moved", "moved out", "culled", "given away", "gave away", "sold", "not kept",
		"entnommen", "entfernt", "abgegeben", "verkauft", "umgesetzt", "weggegeben", "absichtlich entfernt",
		"retires", "retire", "donnes", "vendus", "deplaces", "retires volontairement", "retirados", "regalados", "vendidos", "descartados", "trasladados"},
	"failed to hatch": {"didn t hatch", "did nt hatch", "none hatched", "no eggs hatched", "never hatch", "unhatched", "no hatching", "dead in egg", "died in egg", "died in shell", "died in the egg", "embryos died", "dead embryos", "eggs died", "hatch failed", "hatch failure", "eggs did not hatch",
		"keine geschlupft", "nichts geschlupft", "schlupf ausgeblieben", "kein schlupf erfolgt", "nie geschlupft", "abgestorben im ei", "embryonen abgestorben", "abgestorben vor schlupf", "abgestorben vor dem schlupf", "nicht zum schlupf gekommen", "im ei gestorben",
		"n ont pas eclos", "pas d eclosion", "aucune eclosion", "jamais eclos", "morts dans l oeuf", "embryons morts", "non eclosion", "sans eclosion", "n a pas eclos", "morts avant eclosion",
		"no nacieron", "no hubo eclosion", "muertos en el huevo", "embriones muertos", "ninguno eclosiono", "no eclosionados", "nunca eclosionaron", "ninguna eclosion", "murieron en el huevo", "no eclosion",
		"failed to hatch", "failed hatch", "did not hatch", "didnt hatch", "not hatched", "never hatched", "dead in shell", "no hatch",
		"nicht geschlupft", "nicht geschluepft", "kein schlupf", "im ei abgestorben", "non eclos", "pas declosion", "pas eclos", "morts dans oeuf", "no eclosionaron", "no eclosiono", "sin eclosion"},
	"deformed": {"malformed", "bellysliders", "bent spines", "belly slider", "bauchrutscher", "missbildung", "missbildungen", "verwachsen", "verkruppelte", "malformations", "difformes", "deformation", "malformaciones", "deformidades", "deformaciones", "deforme", "deformed", "deformity", "deformities", "crippled", "belly sliders", "missgebildet", "verkruppelt", "verkrueppelt", "deformiert", "deformes", "malformes", "malformation", "deformados", "deformes", "malformados"},
	"starved":  {"starved to death", "lack of food", "not enough food", "no small food", "would not feed", "didn t feed", "hunger", "zu wenig futter", "futtermangel", "kein kleines futter", "nahrungsmangel", "futter zu gross", "affames", "manque de nourriture", "mort de faim", "morts faute de nourriture", "famine", "muertos de hambre", "falta de alimento", "falta de comida", "sin comida", "murieron de hambre", "starved", "starvation", "no first food", "no food", "starved fry", "fry starved", "verhungert", "kein futter", "kein erstfutter", "morts de faim", "faim", "pas de nourriture", "hambre", "sin alimento", "inanicion"},
	"equipment": {"heater stuck", "heater stuck on", "heater broke", "heater broken", "power failed", "power off", "blackout", "overheated", "tank leaked", "air pump failed", "airpump failed", "pump failure", "filter failure", "filter intake", "sucked into filter", "into filter", "filter", "dried up", "air pump stopped", "airstone failed", "air failed",
		"heizer ausgefallen", "heizung ausgefallen", "heizerdefekt", "heizungsdefekt", "heizstab defekt", "stromausfall nachts", "strom ausgefallen", "luftpumpe ausgefallen", "pumpe ausgefallen", "filter ausgefallen", "becken undicht", "in den filter gesaugt", "eingesaugt", "technikausfall", "defekt", "heizer kaputt", "heizung kaputt", "pumpe defekt", "luftpumpe defekt", "filterausfall", "ueberhitzt", "uberhitzt", "geratedefekt", "trockengefallen",
		"panne chauffage", "panne de chauffage", "chauffage en panne", "panne electrique", "coupure electrique", "panne de filtre", "pompe en panne", "panne de pompe", "fuite", "chauffage defectueux", "resistance en panne", "aspires par filtre", "aspires par le filtre", "panne du chauffage", "thermostat",
		"fallo del calentador", "fallo de calentador", "calentador averiado", "fallo electrico", "fallo de luz", "corte electrico", "fuga", "fallo de bomba", "fallo de la bomba", "fallo del filtro", "averia del calentador", "aspirados por el filtro", "se fue la luz", "apagon electrico", "resecados", "termocalentador", "averia calentador", "equipment", "equipment failure", "heater", "heater failed", "heater failure", "power cut", "power failure", "power outage", "dried out", "dried", "leak", "pump failed", "filter failed", "tank leak",
		"technik", "heizer", "heizer defekt", "heizung", "heizerausfall", "stromausfall", "ausgetrocknet", "vertrocknet", "technischer defekt", "panne", "panne de courant", "coupure de courant", "chauffage", "desseches", "a sec", "averia", "apagon", "corte de luz", "calentador", "secos"},
	"disease":           {"ill", "infection", "bacterial infection", "bacterial bloom", "white spot", "whitespot", "oodinium", "diseased", "parasite", "bakterien", "bakterieninfektion", "infektion", "bakteriell", "ichthyo", "weisspunkt", "samtkrankheit", "parasit", "maladie bacterienne", "bacterie", "bacteries", "points blancs", "infection bacterienne", "parasitos", "bacterias", "infeccion", "infeccion bacteriana", "punto blanco", "enferma", "enfermo", "disease", "sick", "illness", "parasites", "velvet", "ich", "bacteria", "bacterial", "columnaris", "krankheit", "krank", "erkrankt", "parasiten", "maladie", "malades", "parasites internes", "enfermedad", "enfermos"},
	"jumped":            {"leapt out", "jumped out of tank", "out of the tank", "on the floor", "found on floor", "aus dem becken gesprungen", "auf dem boden", "saute hors du bac", "saute du bac", "a saute", "ont saute", "salto fuera", "saltaron fuera", "jumped", "jumped out", "jumper", "gesprungen", "herausgesprungen", "rausgesprungen", "saute", "sautes", "saltaron", "salto"},
	"sibling predation": {"siblings ate them", "bigger siblings", "eaten by bigger siblings", "eaten by older fry", "eaten by larger fry", "fry ate each other", "ate each other", "geschwisterfrass", "von grosseren geschwistern gefressen", "gegenseitig gefressen", "frassen sich gegenseitig", "manges entre eux", "freres et soeurs", "manges par leurs freres", "hermanos", "comidos por hermanos", "comidos por sus hermanos", "se comieron entre ellos", "canibalismo entre hermanos", "sibling predation", "siblings", "eaten by siblings", "cannibalism", "siblings ate", "fry ate siblings", "geschwister", "von geschwistern gefressen", "kannibalismus", "cannibalisme", "canibalismo", "comidos hermanos", "manges par freres"},
	"unknown": {"not known", "dont know", "don t know", "no idea", "unclear", "unexplained", "mystery", "vanished overnight", "gone overnight", "disappeared overnight", "gone next day", "gone by morning", "gone in the morning", "missing", "reason unknown", "unsure",
		"ursache unbekannt", "weiss nicht", "keine ahnung", "unklar", "ungeklart", "ungeklaert", "nicht bekannt", "weg", "uber nacht weg", "uber nacht verschwunden", "spurlos verschwunden", "ratselhaft", "einfach weg", "plotzlich weg", "am morgen weg", "verschwanden", "war weg", "waren weg",
		"cause inconnue", "raison inconnue", "disparue", "disparu", "disparues", "pas d idee", "aucune idee", "ne sais pas", "disparus dans la nuit", "disparue dans la nuit", "sais pas", "je ne sais pas",
		"causa desconocida", "no se sabe", "no se", "ni idea", "desaparecida", "desaparecio", "desaparecieron", "sin causa conocida", "desaparecidas", "motivo desconocido", "no sabemos", "unknown", "unknown cause", "cause unknown", "disappeared", "vanished", "gone", "unbekannt", "verschwunden", "inconnu", "inconnue", "disparus", "desconocido", "desconocida", "desaparecidos"},
	"lost count": {"lost count", "lost track", "not counted", "uberblick verloren", "nicht gezahlt", "nicht gezaehlt", "perdu compte", "non comptes", "sin contar", "perdi cuenta"},
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

package species_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/species"
)

func TestResolve(t *testing.T) {
	names := species.New(nil)
	for _, c := range []struct {
		written  string
		accepted string
		how      species.How
		strain   string
	}{
		{"Corydoras paleatus", "Corydoras paleatus", species.Accepted, ""},
		{" corydoras  PALEATUS ", "Corydoras paleatus", species.Accepted, ""},
		{"\"Corydoras paleatus\"", "Corydoras paleatus", species.Accepted, ""},
		{"Corydoras paleatus (Jenyns, 1842)", "Corydoras paleatus", species.Accepted, ""},
		{"Corydoras paleatus Jenyns, 1842", "Corydoras paleatus", species.Accepted, ""},
		{"Betta splendens Regan", "Betta splendens", species.Accepted, ""},
		{"Corydoras (Hoplisoma) paleatus", "Corydoras paleatus", species.Accepted, ""},
		{"Hoplisoma paleatum", "Corydoras paleatus", species.Synonym, ""},
		{"Hoplisoma paleatus", "Corydoras paleatus", species.Synonym, ""},
		{"Osteogaster aeneus", "Corydoras aeneus", species.Synonym, ""},
		{"Xiphophorus helleri", "Xiphophorus hellerii", species.Synonym, ""},
		{"Paracheirodon axelrodii", "Paracheirodon axelrodi", species.Misspelling, ""},
		{"Corydoras paleata", "Corydoras paleatus", species.Synonym, ""},
		{"C. paleatus", "Corydoras paleatus", species.Abbreviation, ""},
		{"C.paleatus", "Corydoras paleatus", species.Abbreviation, ""},
		{"Cory. paleatus", "Corydoras paleatus", species.Abbreviation, ""},
		{"C. paletus", "Corydoras paleatus", species.Misspelling, ""},
		{"C. paleatus \"albino\"", "Corydoras paleatus", species.Abbreviation, "albino"},
		{"peppered corys", "Corydoras paleatus", species.Common, ""},
		{"Marmorierte Panzerwelse", "Corydoras paleatus", species.Misspelling, ""},
		{"Zebrabaerbling", "Danio rerio", species.Common, ""},
		{"Zebra-Bärblinge", "Danio rerio", species.Common, ""},
		{"Kakaduzwergbuntbarsch", "Apistogramma cacatuoides", species.Common, ""},
		{"tetras neón", "Paracheirodon innesi", species.Common, ""},
		{"guppies", "Poecilia reticulata", species.Common, ""},
		{"L 046", "Hypancistrus zebra", species.Synonym, ""},
		{"L047", "", species.Unknown, ""},
		{"Hypancistrus zebra L46", "Hypancistrus zebra", species.Accepted, "L46"},
		{"Corydoras aeneus \"Gold Laser\"", "Corydoras aeneus", species.Accepted, "Gold Laser"},
		{"Corydoras aeneus ‘Gold Laser’ CW010", "Corydoras aeneus", species.Accepted, "Gold Laser, CW010"},
		{"Corydoras paleatus albino", "Corydoras paleatus", species.Accepted, "albino"},
		{"albino Corydoras paleatus", "Corydoras paleatus", species.Accepted, "albino"},
		{"3 Corydoras paleatus", "Corydoras paleatus", species.Accepted, "3"},
		{"albino oscar", "Astronotus ocellatus", species.Common, "albino"},
		{"Betta blue", "Betta splendens", species.Common, "blue"},
		{"Nothobranchius guentheri Zanzibar TAN 14-02", "Nothobranchius guentheri", species.Accepted, "Zanzibar TAN 14-02"},
		{"Danio rerio var. frankei", "Danio rerio", species.Accepted, "frankei"},
		{"Danio rerio (leopard)", "Danio rerio", species.Accepted, "leopard"},
		{"Apistogramma cf. cacatuoides", "Apistogramma cacatuoides", species.Accepted, "cf."},
		{"peppered cory (Corydoras paleatus)", "Corydoras paleatus", species.Common, ""},
		{"Corydoras paleatus (peppered cory)", "Corydoras paleatus", species.Accepted, ""},
		{"Coridoras paletus", "Corydoras paleatus", species.Misspelling, ""},
		{"Coridoras paletus albino", "Corydoras paleatus", species.Misspelling, "albino"},
		{"Corydoraspaleatus", "Corydoras paleatus", species.Accepted, ""},
		{"gupy", "Poecilia reticulata", species.Misspelling, ""},
		{"", "", species.Unknown, ""},
		{"?", "", species.Unknown, ""},
		{"—", "", species.Unknown, ""},
		{"12", "", species.Unknown, ""},
		{"seahorse", "", species.Unknown, ""},
	} {
		m := names.Resolve(c.written)
		require.Equal(t, c.accepted, m.Accepted, "%q: %+v", c.written, m)
		require.Equal(t, c.how, m.How, "%q: %+v", c.written, m)
		require.Equal(t, c.strain, m.Strain, "%q", c.written)
	}
	require.Equal(t, "C. paleatus", names.Resolve("  C. paleatus ").As)
}

// TestNeverPlain holds names that must not be taken for the plain species.
func TestNeverPlain(t *testing.T) {
	names := species.New(nil)
	for written, candidates := range map[string][]string{
		"Xiphophorus hellerii x maculatus":    {"Xiphophorus hellerii", "Xiphophorus maculatus"},
		"Xiphophorus hellerii × X. maculatus": {"Xiphophorus hellerii", "Xiphophorus maculatus"},
		"guppy X endler":                      {"Poecilia reticulata", "Poecilia wingei"},
		"Poecilia × wingei":                   {"Poecilia wingei"},
		"Maylandia estherae hybrid":           {"Maylandia estherae"},
		"Corydoras sp. Peru":                  nil,
		"Corydoras sp. CW010":                 nil,
		"Apistogramma sp. \"Breitbinden\"":    nil,
		"Apistogramma aff. agassizii":         {"Apistogramma agassizii"},
		"Corydoras paleatus?":                 {"Corydoras paleatus"},
		"Corydoras paleatus (bronze cory)":    {"Corydoras aeneus", "Corydoras paleatus"},
		"Paracheirodon innesi/axelrodi":       {"Paracheirodon axelrodi", "Paracheirodon innesi"},
		"Danio rerio + Betta splendens":       {"Betta splendens", "Danio rerio"},
		"guppy endler":                        {"Poecilia reticulata", "Poecilia wingei"},
		"gold ram":                            {"Mikrogeophagus ramirezi"},
		"electric blue acara":                 {"Andinoacara pulcher"},
		"paleatus":                            {"Corydoras paleatus"},
		"pulcher":                             {"Andinoacara pulcher", "Neolamprologus pulcher", "Pelvicachromis pulcher"},
		"Otocinclus affinis":                  {"Otocinclus vittatus"},
		"O. affinis":                          {"Otocinclus vittatus"},
		"N. brichardi":                        {"Neolamprologus pulcher"},
		"S. haraldi":                          {"Symphysodon aequifasciatus"},
		"kribensis":                           {"Pelvicachromis pulcher", "Pelvicachromis taeniatus"},
		"cardinal":                            {"Paracheirodon axelrodi", "Tanichthys albonubes"},
		"neon":                                {"Hyphessobrycon herbertaxelrodi", "Melanotaenia praecox", "Paracheirodon axelrodi", "Paracheirodon innesi", "Paracheirodon simulans"},
		"Symphysodon":                         {"Symphysodon aequifasciatus", "Symphysodon discus"},
		"Pterophyllum sp.":                    {"Pterophyllum altum", "Pterophyllum leopoldi", "Pterophyllum scalare"},
		"Brachydanio spp.":                    {"Danio albolineatus", "Danio rerio"},
	} {
		m := names.Resolve(written)
		require.Empty(t, m.Accepted, "%q: %+v", written, m)
		require.Equal(t, candidates, m.Candidates, "%q: %+v", written, m)
		if m.How == species.Ambiguous {
			require.NotEmpty(t, m.Candidates, written)
		}
	}
}

// TestOtherFishes holds names of valid species and common names that the list
// does not have, or has as species of their own; none may be taken for another fish.
// From memory of the trade.
func TestOtherFishes(t *testing.T) {
	names := species.New(nil)
	others := []string{
		"lemon tetra", "ruby barb", "gold barb", "checker barb", "odessa barb", "giant danio", "bloodfin tetra", "emperor tetra", "penguin tetra",
		"black phantom tetra", "red phantom tetra", "glowlight tetra", "licorice gourami", "moonlight gourami", "kissing gourami", "snakeskin gourami",
		"Hyphessobrycon pulchripinnis", "Hyphessobrycon erythrostigma", "Hyphessobrycon sweglesi", "Hyphessobrycon elachys", "Danio kerri", "Danio tinwini",
		"Danio roseus", "Danio feegradei", "Betta foerschi", "Betta pugnax", "Betta coccina", "Corydoras gossei", "Corydoras nanus", "Corydoras barbatus",
		"Corydoras loretoensis", "Apistogramma nijsseni", "Apistogramma panduro", "Apistogramma baenschi",
		"Ancistrus dolichopterus", "Ancistrus temminckii", "Hypancistrus inspector", "Hypancistrus contradens", "Poecilia mexicana", "Poecilia picta",
		"Xiphophorus montezumae", "Xiphophorus nezahualcoyotl", "Melanotaenia herbertaxelrodi", "Melanotaenia nigrans", "Aphyosemion gabunense",
		"Nothobranchius eggersi", "Nothobranchius kafuensis", "Oryzias javanicus", "Oryzias sinensis", "Epiplatys dageti", "Fundulopanchax sjostedti",
		"Julidochromis dickfeldi", "Neolamprologus leleupi", "Neolamprologus multifasciatus", "Pelvicachromis subocellatus", "Thorichthys ellioti",
		"Thorichthys aureus", "Amphiprion clarkii", "Amphiprion frenatus", "Clarias gariepinus", "Carassius carassius", "Carassius gibelio", "Puntius bimaculatus",
		"Pethia nigrofasciata", "Pethia ticto", "Trigonostigma somphongsi", "Boraras naevus", "Zitronensalmler", "Goldbarbe", "Schwarzbarbe", "Glühlichtsalmler",
		"Leopardbärbling", "Malabarbärbling", "Rautenflecksalmler", "Blauer Neonaugen-Reisfisch", "Mondscheinfadenfisch", "Ameca splendens", "Mesonauta festivus",
	}
	for _, name := range others {
		m := names.Resolve(name)
		require.Contains(t, []string{"", name}, m.Accepted, "%q was taken for %s (%s)", name, m.Accepted, m.How)
	}
}

func TestResolveIn(t *testing.T) {
	names := species.New(map[string]string{"our A. pulcher": "Aplocheilus pulcher"})
	m := names.Resolve("A. pulcher")
	require.Equal(t, species.Match{How: species.Ambiguous, Candidates: []string{"Andinoacara pulcher", "Aplocheilus pulcher"}, As: "A. pulcher"}, m)
	for _, c := range []struct {
		genera   []string
		written  string
		accepted string
	}{
		{[]string{"Andinoacara", "Betta"}, "A. pulcher", "Andinoacara pulcher"},
		{[]string{"aplocheilus"}, "A. pulcher", "Aplocheilus pulcher"},
		{[]string{"Aequidens"}, "A. pulcher", "Andinoacara pulcher"},
		{[]string{"Andinoacara", "Aplocheilus"}, "A. pulcher", ""},
		{[]string{"Betta"}, "A. pulcher", ""},
		{[]string{"Pelvicachromis"}, "pulcher", "Pelvicachromis pulcher"},
		{[]string{"Corydoras"}, "paleatus", "Corydoras paleatus"},
		{[]string{"Betta"}, "paleatus", ""},
		{[]string{"Danio"}, "zebra", ""},
		{[]string{"Symphysodon"}, "discus", "Symphysodon discus"},
		{nil, "paleatus", ""},
	} {
		require.Equal(t, c.accepted, names.ResolveIn(c.written, c.genera).Accepted, "%v %s", c.genera, c.written)
	}
}

func TestNamesOfAClub(t *testing.T) {
	extra := map[string]string{
		"our neon":           "Hyphessobrycon innesi",   // a synonym: its accepted name counts
		"neon":               "Paracheirodon innesi",    // settles an ambiguous name
		"Goldy":              "Corydoras gossei",        // not in the list
		"Corydoras aeneus":   "Osteogaster aeneus",      // the club goes by another list
		"Otocinclus affinis": "Otocinclus affinis",      // a name put to itself
		"  ":                 "Betta splendens",         // nothing
		"L046 x":             "Hypancistrus zebra",      // a club may name as it likes
		"line A":             "  Corydoras   paleatus ", // spaces do not count
	}
	names := species.New(extra)
	for written, accepted := range map[string]string{
		"our neon": "Paracheirodon innesi", "Neon": "Paracheirodon innesi", "neons": "Paracheirodon innesi", "goldy": "Corydoras gossei",
		"C. gossei": "Corydoras gossei", "Corydoras gosei": "Corydoras gossei", "Corydoras aeneus": "Osteogaster aeneus", "bronze cory": "Osteogaster aeneus",
		"Hoplosoma aeneum": "Osteogaster aeneus", "O. aeneus": "Osteogaster aeneus", "C. aeneus": "Osteogaster aeneus", "Otocinclus affinis": "Otocinclus affinis", "O. affinis": "Otocinclus affinis",
		"L046 X": "Hypancistrus zebra", "Line A": "Corydoras paleatus",
	} {
		require.Equal(t, accepted, names.Resolve(written).Accepted, "%s: %+v", written, names.Resolve(written))
	}
	require.Equal(t, species.Accepted, names.Resolve("Osteogaster aeneus").How)
	require.Contains(t, names.Species(), "Osteogaster aeneus")
	require.Contains(t, names.Species(), "Corydoras gossei")
	require.NotContains(t, names.Species(), "Corydoras aeneus")
	require.Contains(t, names.Resolve("Corydoras sp.").Candidates, "Osteogaster aeneus")
	require.Equal(t, species.New(extra).Find("does goldy like neons?"), names.Find("does goldy like neons?"))
	require.NotPanics(t, func() {
		species.New(map[string]string{"Danio rerio": "Betta splendens", "Betta splendens": "Danio rerio"})
	})
}

func TestNearest(t *testing.T) {
	names := species.New(nil)
	require.Equal(t, "Corydoras paleatus", names.Nearest("Coridora palaetuss")[0])
	require.Equal(t, []string{"Paracheirodon innesi"}, names.Nearest("neon tetr"))
	require.LessOrEqual(t, len(names.Nearest("Corydoras xyzus")), 3)
	require.Empty(t, names.Nearest("qqqq"))
	require.Empty(t, names.Nearest(""))
	require.Equal(t, names.Nearest("Corydoras foo"), names.Resolve("Corydoras foo").Candidates)
}

func TestSpecies(t *testing.T) {
	all := species.New(nil).Species()
	require.IsIncreasing(t, all)
	all[0] = "changed"
	require.NotEqual(t, "changed", species.New(nil).Species()[0])
}

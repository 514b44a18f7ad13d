package reference

import (
	"slices"
	"strings"
)

// annual are genera of killifish whose eggs wait in dry ground until they are wetted.
var annual = []string{"Nothobranchius", "Austrofundulus", "Austrolebias", "Cynolebias", "Cynopoecilus", "Fundulosoma", "Hypsolebias", "Leptolebias", "Millerichthys", "Neofundulus", "Ophthalmolebias", "Pterolebias", "Rachovia", "Renova", "Simpsonichthys", "Spectrolebias", "Terranatos", "Trigonectes", "Xenurolebias", "Gnatholebias", "Maratecoara", "Moema", "Notholebias", "Nematolebias", "Papiliolebias", "Pituna", "Plesiolebias", "Stenolebias", "Callopanchax", "Micromoema", "Aphyolebias", "Cynolebias", "Megalebias"}

// livebearing are genera whose young are born.
var livebearing = []string{"Poecilia", "Xiphophorus", "Gambusia", "Heterandria", "Limia", "Micropoecilia", "Phallichthys", "Phalloceros", "Belonesox", "Brachyrhaphis", "Alfaro", "Girardinus", "Priapella", "Poeciliopsis", "Cnesterodon", "Goodea", "Ameca", "Xenotoca", "Skiffia", "Characodon", "Chapalichthys", "Xenoophorus", "Ilyodon", "Allotoca", "Zoogoneticus", "Ataeniobius", "Girardinichthys", "Hubbsina", "Alloophorus", "Dermogenys", "Nomorhamphus", "Hemirhamphodon", "Anableps", "Jenynsia", "Neoheterandria", "Scolichthys", "Carlhubbsia", "Quintana", "Tomeurus"}

func genus(species string) string {
	first, _, _ := strings.Cut(species, " ")
	return first
}

// IsAnnual reports whether a species is an annual killifish: hatching follows the
// wetting of its eggs, so the time from laying measures the keeper.
func IsAnnual(species string) bool { return slices.Contains(annual, genus(species)) }

// IsLivebearing reports whether the young of a species are born: there are no eggs to
// time or to count.
func IsLivebearing(species string) bool { return slices.Contains(livebearing, genus(species)) }

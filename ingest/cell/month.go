package cell

import "time"

// monthNames are the months in English, German, French and Spanish, folded and
// without full stops. No name stands for two months.
var monthNames = numbered(map[int][]string{
	1:  {"january", "jan", "januar", "janner", "jaenner", "jann", "janvier", "janv", "enero", "ene"},
	2:  {"february", "feb", "februar", "feber", "fevrier", "fevr", "fev", "febrero"},
	3:  {"march", "mar", "marz", "maerz", "mrz", "mars", "marzo"},
	4:  {"april", "apr", "avril", "avr", "abril", "abr"},
	5:  {"may", "mai", "mayo"},
	6:  {"june", "jun", "juni", "juin", "junio"},
	7:  {"july", "jul", "juli", "juillet", "juil", "julio"},
	8:  {"august", "aug", "aout", "agosto", "ago"},
	9:  {"september", "sept", "sep", "septembre", "septiembre", "setiembre", "set"},
	10: {"october", "oct", "oktober", "okt", "octobre", "octubre"},
	11: {"november", "nov", "novembre", "noviembre"},
	12: {"december", "dec", "dezember", "dez", "decembre", "diciembre", "dic"},
})

// weekdayNames are the days of the week. "mar" is Tuesday in French and Spanish
// here, and March in monthNames: what follows decides.
var weekdayNames = numbered(map[int][]string{
	int(time.Monday):    {"monday", "mon", "montag", "mo", "lundi", "lun", "lunes"},
	int(time.Tuesday):   {"tuesday", "tue", "tues", "dienstag", "di", "mardi", "mar", "martes"},
	int(time.Wednesday): {"wednesday", "wed", "mittwoch", "mi", "mercredi", "mer", "miercoles", "mie"},
	int(time.Thursday):  {"thursday", "thu", "thur", "thurs", "donnerstag", "do", "jeudi", "jeu", "jueves", "jue"},
	int(time.Friday):    {"friday", "fri", "freitag", "fr", "vendredi", "ven", "viernes", "vie"},
	int(time.Saturday):  {"saturday", "sat", "samstag", "sonnabend", "sa", "samedi", "sam", "sabado", "sab"},
	int(time.Sunday):    {"sunday", "sun", "sonntag", "so", "dimanche", "dim", "domingo", "dom"},
})

func numbered(lists map[int][]string) map[string]int {
	m := map[string]int{}
	for n, list := range lists {
		for _, w := range list {
			m[w] = n
		}
	}
	return m
}

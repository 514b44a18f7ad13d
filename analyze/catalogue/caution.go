package catalogue

// A Caution is a sentence of care that goes with a trigger. Text is empty where
// nothing in particular can go wrong.
type Caution struct {
	Code string
	Text string
}

// The cautions of care for people and animals. They give no doses: where a
// dose could hurt, they send the reader to somebody who is licensed.
var (
	temperatureShock = Caution{"temperature", "sudden changes of temperature can hurt or kill fish: stay inside the range of the species, change slowly, and ask a vet when fish look unwell"}
	electricity      = Caution{"electricity", "unplug heaters, pumps and lamps before hands or water go in or out, and before the level falls below a heater; use a residual-current device, and leave wiring to a licensed electrician"}
	chemistry        = Caution{"chemistry", "swings of pH, hardness or conductivity harm fish: change water values slowly and measure; medicines, hormones and conditioners are a matter for a vet and for local law"}
	netting          = Caution{"stress", "catching and moving fish is a stress of its own and can lower breeding success: do it rarely, and give them rest in between"}
	livefood         = Caution{"live-food", "live food can bring disease in: take it from legal and clean sources, and never collect or release animals where the law protects them"}
	pressure         = Caution{"pressure", "only watch the weather: never put fish under artificial pressure or vacuum"}
	lightCaution     = Caution{"light", "give fish a dark night and a way to hide; keep lamps and their cables clear of water"}
	glass            = Caution{"glass", "water is heavy and glass breaks: empty tanks before they are moved, and mind the stand and the floor"}
)

// General are the cautions that go with every report.
var General = []string{
	"These are records of what was done and what followed. They show what went with what, not what made it happen, unless the records come from a randomised trial.",
	"The welfare of the fish comes first: watch what you already do rather than stressing fish to fill a table, keep to the range of the species, and ask a vet when fish are unwell.",
	"Water and electricity: unplug before you reach in, use a residual-current device, and leave wiring to a licensed electrician.",
	"Medicines and hormones are for vets and for what local law allows. This program gives no doses.",
	"Never release fish, plants, snails, eggs or tank water outdoors. Protected species may need permits: local law comes before anything said here.",
}

package demo

// Year is the demo club's last season.
const Year = 2025

// Questions are the two that the demo answers: one where the truth planted in the
// records is yes, one where it is no (see truth.md).
var Questions = []string{
	"does a pressure drop matter for Corydoras paleatus?",
	"does a pressure drop matter for Danio rerio?",
}

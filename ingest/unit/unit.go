// Package unit holds the quantities that logs state and the units they are
// stated in. Conversion between units happens here and nowhere else.
//
// A temperature and a temperature difference are different quantities: a
// difference converts from Fahrenheit by 5/9 alone, without the offset.
package unit

// A Quantity is what is measured. Each has one canonical unit, in which the
// tables store it.
type Quantity string

const (
	None          Quantity = "" // a bare number or a count
	Temperature   Quantity = "temperature"             // Cel
	TempDiff      Quantity = "temperature difference"  // K (canonical: difference in Celsius degrees)
	Pressure      Quantity = "air pressure"            // hPa
	PressureDiff  Quantity = "air pressure difference" // hPa
	Conductivity  Quantity = "conductivity"            // uS/cm at 25 °C
	Acidity       Quantity = "pH"                      // [pH]
	GH            Quantity = "general hardness"        // German degrees
	KH            Quantity = "carbonate hardness"      // German degrees
	Concentration Quantity = "concentration"           // mg/L
	Length        Quantity = "length"                  // cm
	Share         Quantity = "share"                   // %
	Hours         Quantity = "hours"                   // h
	Days          Quantity = "days"                    // d
	Volume        Quantity = "volume"                  // L
	Illuminance   Quantity = "illuminance"             // lx
)

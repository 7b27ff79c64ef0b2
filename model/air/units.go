package air

// Exact factors, by the definitions of the units (international nautical mile
// 1852 m, foot 0.3048 m, statute mile 5280 ft; conventional millimetre of
// mercury 133.322387415 Pa, an inch being 25.4 of them).
const (
	MpsPerKnot    = 1852.0 / 3600.0
	MpsPerMph     = 0.44704
	KmhPerMps     = 3.6
	HPaPerInHg    = 33.86388640341
	HPaPerMmHg    = 1.33322387415
	MetresPerMile = 1609.344
	MetresPerFoot = 0.3048
)

// CelsiusFromFahrenheit converts a temperature; exact by definition.
func CelsiusFromFahrenheit(tempF float64) float64 { return (tempF - 32) / 1.8 }

// FahrenheitFromCelsius converts a temperature; exact by definition.
func FahrenheitFromCelsius(tempC float64) float64 { return tempC*1.8 + 32 }

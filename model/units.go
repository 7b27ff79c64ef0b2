package model

// Units that are easily mixed up have types of their own; the numerical
// packages take plain numbers in parameters that name the unit.
type (
	// Celsius is a temperature in degrees Celsius.
	Celsius float64
	// MetresPerSecond is a wind speed. Knots and km/h are turned into it at
	// the edge, once.
	MetresPerSecond float64
	// Hectopascals is an air pressure; what it was reduced to is said where
	// it is stored.
	Hectopascals float64
	// Degrees is a direction, true, from which a wind blows or to which a peg
	// faces: 0 up to but not including 360.
	Degrees float64
	// Millimetres is a depth of rain.
	Millimetres float64
	// Metres is a length, a depth or a height above sea level.
	Metres float64
	// Grams is a mass; of feed it is damp unless the name says dry.
	Grams float64
	// Millilitres is the inside of a feeder.
	Millilitres float64
	// GramsPerHour is damp feed leaving the feeder on one fed line.
	GramsPerHour float64
)

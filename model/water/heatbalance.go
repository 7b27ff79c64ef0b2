package water

import "math"

// Physical constants of the balance.
const (
	densityKgM3        = 1000.0      // of water, as in Piccolroaz 2016
	heatCapacityJKgK   = 4186.0      // of water, as in Piccolroaz 2016
	stefanBoltzmann    = 5.670374e-8 // W/m2/K4, CODATA, from memory
	emissivity         = 0.97        // of a water surface, from memory
	albedo             = 0.07        // of a water surface to sunlight, within the 0.04 to 0.20 of the air2water distribution
	bowenHPaPerK       = 0.62        // 0.47 mmHg/K, as coded in CE-QUAL-W2
	hPaPerMmHg         = 1.333224
	seaLevelHPa        = 1013.25 // stands for the pressure in the virtual temperature
	zeroCelsiusK       = 273.15
	freeConvection     = 3.59   // W/m2/mmHg/K^(1/3), Ryan and Harleman 1973
	forcedConvection   = 4.26   // W/m2/mmHg per m/s at 2 m, Ryan and Harleman 1973
	leastBuoyancyPerW3 = 0.0084 // K per (m/s)^3, the floor of the virtual difference in CE-QUAL-W2
)

// Forcing is the weather right over a water.
type Forcing struct {
	AirC          float64 // -60 to 60
	RHPct         float64 // 0 to 110; above 100 is read as 100
	Wind2mMps     float64 // at 2 m over the water, 0 to 75
	CloudFraction float64 // 0 to 1
	ShortwaveWm2  float64 // sunlight on the level, -20 to 1500; below 0 is read as 0
}

// Terms is a heat balance: the parts in W/m2, sun and sky counted into the water
// and the others out of it, and what they were made from.
type Terms struct {
	AirVapourHPa    float64
	WaterVapourHPa  float64 // saturated at the water's temperature
	SunWm2          float64 // absorbed
	SkyWm2          float64 // longwave absorbed
	BackWm2         float64 // longwave sent out
	ExchangeWm2HPa  float64 // the wind function f
	EvaporationWm2  float64
	ConductionWm2   float64
	NetWm2          float64 // into the water
	CoefficientWm2K float64 // K, how fast the net falls as the water warms
}

// Balance gives the heat balance in W/m2 of a water at waterC (-100 to 100; it
// is defined below freezing so that an equilibrium can lie there) under the
// forcing; values outside the ranges of Forcing are an error.
//
// Sources: Edinger, Brady and Geyer 1974 for the whole; Brutsaert 1975 for the
// clear sky and Crawford and Duchon 1999 for the cloud; Ryan and Harleman 1973,
// as coded in CE-QUAL-W2, for the exchange of a small water.
func Balance(waterC float64, f Forcing) (Terms, error) {
	if err := between("water temperature", waterC, lowestC, highestC, "C"); err != nil {
		return Terms{}, err
	}
	if err := f.validate(); err != nil {
		return Terms{}, err
	}
	return balance(waterC, f), nil
}

// validate refuses weather outside the ranges of the fields.
func (f Forcing) validate() error {
	if err := between("air temperature", f.AirC, -60, 60, "C"); err != nil {
		return err
	}
	if err := between("relative humidity", f.RHPct, 0, 110, "%"); err != nil {
		return err
	}
	if err := between("wind", f.Wind2mMps, 0, 75, "m/s"); err != nil {
		return err
	}
	if err := between("cloud fraction", f.CloudFraction, 0, 1, ""); err != nil {
		return err
	}
	return between("sunlight", f.ShortwaveWm2, -20, 1500, "W/m2")
}

func balance(waterC float64, f Forcing) Terms {
	t := Terms{
		AirVapourHPa:   saturationHPa(f.AirC) * math.Min(f.RHPct, 100) / 100,
		WaterVapourHPa: saturationHPa(waterC),
		SunWm2:         (1 - albedo) * math.Max(0, f.ShortwaveWm2),
	}
	t.SkyWm2 = emissivity * skyWm2(f.AirC, t.AirVapourHPa, f.CloudFraction)
	waterK := waterC + zeroCelsiusK
	radiationSlope := emissivity * stefanBoltzmann * waterK * waterK * waterK
	t.BackWm2 = radiationSlope * waterK
	difference := virtualK(waterC, t.WaterVapourHPa) - virtualK(f.AirC, t.AirVapourHPa)
	t.ExchangeWm2HPa = exchangeWm2HPa(difference, f.Wind2mMps)
	t.EvaporationWm2 = t.ExchangeWm2HPa * (t.WaterVapourHPa - t.AirVapourHPa)
	t.ConductionWm2 = bowenHPaPerK * t.ExchangeWm2HPa * (waterC - f.AirC)
	t.NetWm2 = t.SunWm2 + t.SkyWm2 - t.BackWm2 - t.EvaporationWm2 - t.ConductionWm2
	t.CoefficientWm2K = 4*radiationSlope + (saturationSlope(waterC, t.WaterVapourHPa)+bowenHPaPerK)*t.ExchangeWm2HPa
	return t
}

// skyWm2 is the longwave radiation from the sky: a clear one by Brutsaert, a
// covered share radiating as a black body at the air's temperature.
func skyWm2(airC, vapourHPa, cloudFraction float64) float64 {
	airK := airC + zeroCelsiusK
	// The exponential of a logarithm is twice as fast as math.Pow, and right at 0.
	brutsaert := math.Min(1, 1.24*math.Exp(math.Log(vapourHPa/airK)/7))
	return (cloudFraction + (1-cloudFraction)*brutsaert) * stefanBoltzmann * airK * airK * airK * airK
}

// virtualK is the temperature at which dry air would be as light as the moist
// air is.
func virtualK(tempC, vapourHPa float64) float64 {
	return (tempC + zeroCelsiusK) / (1 - 0.378*vapourHPa/seaLevelHPa)
}

// exchangeWm2HPa is the wind function of a small water: light air rising off
// warm water carries heat and vapour away even in a calm.
func exchangeWm2HPa(virtualDifferenceK, wind2mMps float64) float64 {
	d := math.Max(virtualDifferenceK, leastBuoyancyPerW3*wind2mMps*wind2mMps*wind2mMps)
	return (freeConvection*math.Cbrt(d) + forcedConvection*wind2mMps) / hPaPerMmHg
}

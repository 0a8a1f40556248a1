#pragma once
/// How hot or cold the air feels, by the formulas of the US National Weather Service. Both were made for people: for a dog they are
/// a hint at most, and no value of them means that it is safe to leave one outdoors.

namespace leeward::analysis {

/// The heat index in °F as the Weather Service's page computes it: the simple form averaged with the air temperature; where that
/// is 80 °F or more, the regression with its corrections for dry (below 13 %, 80 to 112 °F) and moist air (over 85 %, 80 to 87 °F).
/// The corrections move it by up to 2.3 °F from the published chart, which shows the regression alone.
/// Units:   air °F; relative humidity per cent.
/// Edges:   nan for humidity outside 0 to 100, and where either is nan.
/// Source:  Weather Prediction Center, "The Heat Index Equation"; Rothfusz 1990, NWS Technical Attachment SR 90-23;
///          Steadman 1979, J. Appl. Meteorol. 18, 861-873.
double heatIndexF(double air_f, double humidity_percent);

/// The regression of Rothfusz 1990 alone, whatever the temperature: what the published chart shows. Nan as above.
double heatIndexRegressionF(double air_f, double humidity_percent);

/// The wind chill in °F (formula of 2001).
/// Units:   air °F; wind at 10 m above ground, miles an hour.
/// Edges:   nan above 50 °F and at 3 mph or less, where it isn't defined, and where either is nan.
/// Source:  NWS and Environment Canada 2001; Osczevski & Bluestein 2005, Bull. Amer. Meteor. Soc. 86, 1453-1458.
double windChillF(double air_f, double wind_mph);

constexpr double fahrenheitOf(double celsius) { return celsius * 1.8 + 32; }
constexpr double celsiusOf(double fahrenheit) { return (fahrenheit - 32) / 1.8; }
inline constexpr double kMetresPerMile = 1609.344;  ///< international mile, exact
constexpr double mphOfMetresPerSecond(double ms) { return ms * 3600 / kMetresPerMile; }
constexpr double mphOfKilometresPerHour(double kmh) { return kmh * 1000 / kMetresPerMile; }

}  // namespace leeward::analysis

#pragma once
/// `feels-like`: heat index and wind chill of every row.
#include <string>

#include "viewer/study/files/input.h"

namespace leeward::study {

enum class AirUnit { Fahrenheit, Celsius };
enum class WindUnit { MilesPerHour, KilometresPerHour, MetresPerSecond };

struct FeelsLikeRequest {
  LayerRequest table;
  std::string air, humidity, wind;  ///< columns; at least one of the last two. Humidity in per cent
  AirUnit unit = AirUnit::Fahrenheit;
  WindUnit wind_unit = WindUnit::MilesPerHour;
};

/// The table's columns, then heat_index_f or _c (with humidity) and wind_chill_f or _c (with wind), in the unit of the air column.
/// Empty where a value is missing, and where the index isn't defined: wind chill above 50 °F (10 °C) or at 3 mph (4.8 km/h, 1.3 m/s)
/// and less. Rows with a value that can't be (text, humidity outside 0 to 100, wind below 0, air outside -130 to 140 °F) are
/// refused: both stay empty.
/// Errors:  InvalidArgument: neither humidity nor wind, or a column whose heading names another unit than the call. BadData: more
///          than half of the temperatures can't be ("was the other unit meant?"), humidity that is a share of 1.
/// Source:  analysis/weather/feels_like.h.
Result<FileAnswer> feelsLike(const FeelsLikeRequest& request, Progress& progress);

}  // namespace leeward::study

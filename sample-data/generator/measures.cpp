#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "sample-data/generator/days.h"
#include "sample-data/generator/public_files.h"
#include "sample-data/generator/text.h"

namespace leeward::town {

namespace {

/// Blurs by a box of three cells, missing cells left out.
std::vector<float> blurred(const Raster& raster) {
  std::vector<float> out = raster.values;
  const auto rows = static_cast<std::ptrdiff_t>(raster.rows);
  const auto columns = static_cast<std::ptrdiff_t>(raster.columns);
  for (std::ptrdiff_t r = 0; r < rows; ++r) {
    for (std::ptrdiff_t c = 0; c < columns; ++c) {
      double sum = 0;
      int n = 0;
      for (std::ptrdiff_t i = std::max<std::ptrdiff_t>(0, r - 1); i <= std::min(rows - 1, r + 1); ++i) {
        for (std::ptrdiff_t j = std::max<std::ptrdiff_t>(0, c - 1); j <= std::min(columns - 1, c + 1); ++j) {
          sum += raster.values[static_cast<std::size_t>(i * columns + j)];
          ++n;
        }
      }
      out[static_cast<std::size_t>(r * columns + c)] = static_cast<float>(sum / n);
    }
  }
  return out;
}

}  // namespace

void addCensus(const Town& town, Random& random, Files& files) {
  Csv table({"GEO_ID", "NAME", "B01003_001E", "B01003_001M", "B19013_001E", "B19013_001M", "B25003_001E", "B25003_001M", "B25003_003E",
             "B25003_003M", "B17021_001E", "B17021_001M", "B17021_002E", "B17021_002M"});
  for (std::size_t g = 0; g < town.groups.size(); ++g) {
    if (g == 5 || g == 11) continue;  // as when a table was cut out of a larger one too tightly
    const Group& group = town.groups[g];
    double people = 0;
    double homes = 0;
    for (const Block& block : town.blocks) {
      if (block.group != static_cast<int>(g)) continue;
      people += block.people;
      homes += block.housing;
    }
    // margins of 90 % of a sample of about one home in eight over five years: 1.645 standard errors
    const auto estimate = [&](double count, double of) {
      const double se = std::sqrt(std::max(1.0, count * (1 - std::min(0.95, count / std::max(1.0, of))) * 9)) * 1.15;
      const auto value = static_cast<long>(std::lround(std::max(0.0, count + random.normal() * se)));
      return std::pair{std::to_string(value), std::to_string(std::lround(se * 1.645 + 4))};
    };
    const auto [all, all_margin] = estimate(people, people * 1.4);
    const auto [occupied, occupied_margin] = estimate(homes * 0.93, homes * 1.2);
    const auto [renters, renters_margin] = estimate(homes * 0.93 * group.renters, homes);
    const auto [judged, judged_margin] = estimate(people * 0.98, people * 1.4);
    const auto [poor, poor_margin] = estimate(people * 0.98 * group.poverty, people);
    const double income = 88000 * std::exp(-2.6 * group.poverty + 0.06 * random.normal());
    std::string median = std::to_string(std::lround(income));
    std::string median_margin = std::to_string(std::lround(income * (0.09 + 0.12 * random.uniform())));
    if (g == 3) median = "250,000+", median_margin = "**";
    if (g == 8) median = "-666666666", median_margin = "-222222222";
    table.row({"1500000US" + group.geoid, fmt::format("Block Group {}, Tract {}, {}", group.geoid.substr(11), group.geoid.substr(5, 6), kCounty), all,
               all_margin, median, median_margin, occupied, occupied_margin, renters, renters_margin, judged, judged_margin, poor, poor_margin});
  }
  files["acs_block_groups.csv"] = table.text();
}

std::vector<Day> weather(Random& random) {
  std::vector<Day> days;
  double swing = 0;
  bool wet = false;
  for (Date date = kFirstDay; date <= kLastDay; date = date + 1) {
    const double year = 2 * std::numbers::pi * (date - Date{19373}) / 365.25;  // since mid January
    swing = 0.72 * swing + 2.6 * random.normal();
    wet = random.uniform() < (wet ? 0.52 : 0.22);
    Day day;
    const double mean = 11.8 - 11.8 * std::cos(year - 0.10) + swing;
    const double range = (wet ? 3.6 : 6.2) + 0.9 * random.normal();
    day.tmax_c = std::round((mean + std::max(1.2, range)) * 10) / 10;
    day.tmin_c = std::round((mean - std::max(1.2, range)) * 10) / 10;
    day.rain_mm = wet ? std::round(random.gamma(0.8, 9.5) * 10) / 10 : 0;
    day.humidity = std::clamp(std::round(61 + (wet ? 17 : -3) + 4 * std::sin(year) + 7 * random.normal()), 18.0, 100.0);
    days.push_back(day);
  }
  return days;
}

void addWeather(const std::vector<Day>& days, Files& files) {
  Csv table({"date", "tmax (°C)", "tmin (°C)", "precipitation (mm)", "humidity (%)"});
  for (std::size_t i = 0; i < days.size(); ++i) {
    const Day& d = days[i];
    table.row({toIso(kFirstDay + static_cast<int>(i)), fmt::format("{:.1f}", d.tmax_c), fmt::format("{:.1f}", d.tmin_c), fmt::format("{:.1f}", d.rain_mm),
               fmt::format("{:.0f}", d.humidity)});
  }
  files["weather.csv"] = table.text();
}

Raster heat(const Town& town, Random& random) {
  Raster raster;
  raster.left = kZeroUtm.x - 3180;
  raster.top = kZeroUtm.y + 2640;
  raster.cell_x = raster.cell_y = 30;
  raster.columns = 212;
  raster.rows = 176;
  for (std::size_t r = 0; r < raster.rows; ++r) {
    for (std::size_t c = 0; c < raster.columns; ++c) {
      const Point p{raster.left + (static_cast<double>(c) + 0.5) * 30 - kZeroUtm.x, raster.top - (static_cast<double>(r) + 0.5) * 30 - kZeroUtm.y};
      const int block = blockAt(town, p);
      const double warm = block < 0 ? 0.0 : town.blocks[static_cast<std::size_t>(block)].heat;
      const double fields = 0.8 * std::sin(p.x / 410) * std::cos(p.y / 530);
      raster.values.push_back(static_cast<float>(33.5 + warm + fields + 0.9 * random.normal()));
    }
  }
  for (int round = 0; round < 2; ++round) raster.values = blurred(raster);
  for (std::size_t i = 0; i < raster.values.size(); ++i) {
    const Point p{static_cast<double>(i % raster.columns), static_cast<double>(i / raster.columns)};
    const double cloud = std::pow((p.x - 168) / 13, 2) + std::pow((p.y - 128 - 0.4 * (p.x - 168)) / 6, 2);
    const double wisp = std::pow((p.x - 30) / 9, 2) + std::pow((p.y - 22) / 4, 2);
    raster.values[i] = cloud < 1 || wisp < 1 ? std::nanf("") : std::round(raster.values[i] * 100) / 100;
  }
  return raster;
}

}  // namespace leeward::town

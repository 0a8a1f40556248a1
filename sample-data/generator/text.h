#pragma once
/// Writing the town's files: CSV rows and GeoJSON features, with the same bytes on every machine.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sample-data/generator/plane.h"

namespace leeward::town {

/// A CSV file in the making; quotes as RFC 4180.
class Csv {
 public:
  explicit Csv(const std::vector<std::string>& headings) { row(headings); }
  void row(const std::vector<std::string>& fields);
  const std::string& text() const { return text_; }

 private:
  std::string text_;
};

/// A GeoJSON FeatureCollection (RFC 7946), six decimals (0.1 m).
class Features {
 public:
  explicit Features(std::string_view name);
  /// Property values are JSON: jsonText() for text.
  using Properties = std::vector<std::pair<std::string, std::string>>;
  void line(const Line& line, const Properties& properties);
  /// Rings as Network::outline gives them: outer ones counter-clockwise, each hole after any outer ring.
  void area(const std::vector<Line>& rings, const Properties& properties);
  std::string text() const { return text_ + "\n]}\n"; }

 private:
  void begin(const Properties& properties);
  std::string text_;
  bool first_ = true;
};

std::string jsonText(std::string_view text);
std::string degrees(double value);  ///< six decimals

}  // namespace leeward::town

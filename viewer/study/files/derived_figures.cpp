#include "viewer/study/files/derived_figures.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <set>
#include <tuple>
#include <utility>

#include <fmt/format.h>

#include "analysis/overlay/margins.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/files/input.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

constexpr const char* kHow = "Write NAME=sum:A+B, NAME=proportion:A/B, NAME=ratio:A/B or NAME=product:A*B";

const FigureColumns* figureNamed(const std::vector<FigureColumns>& figures, const std::string& name) {
  for (const auto& one : figures) {
    if (lowerAscii(one.value) == lowerAscii(name)) return &one;
  }
  return nullptr;
}

/// One part of a derived figure, as it stands in the layer.
struct Part {
  std::vector<double> value, margin;
};

/// The value and its margin of one row; nan for what is not known.
std::pair<double, double> derivedAt(const DerivedFigure& figure, const std::vector<Part>& parts, std::size_t row) {
  if (figure.by == DerivedFigure::By::Sum) {
    std::vector<double> values, margins;
    for (const auto& part : parts) values.push_back(part.value[row]), margins.push_back(part.margin[row]);
    return {std::accumulate(values.begin(), values.end(), 0.0), analysis::marginOfSum(values, margins)};
  }
  const double a = parts[0].value[row], a_margin = parts[0].margin[row], b = parts[1].value[row], b_margin = parts[1].margin[row];
  if (figure.by == DerivedFigure::By::Product) return {a * b, analysis::marginOfProduct(a, a_margin, b, b_margin)};
  if (!(b != 0) || std::isnan(a) || std::isnan(b)) return {kNan, kNan};
  const bool is_share = figure.by == DerivedFigure::By::Proportion && a <= b;
  return {a / b, is_share ? analysis::marginOfProportion(a, a_margin, b, b_margin) : analysis::marginOfRatio(a, a_margin, b, b_margin)};
}

Part partOf(const Table& table, const FigureColumns& figure) {
  return {columnOf(table, figure.value).toReals(), figure.margin.empty() ? std::vector<double>(table.rows(), kNan) : columnOf(table, figure.margin).toReals()};
}

}  // namespace

Result<std::vector<DerivedFigure>> derivedFigures(const std::vector<std::string>& words) {
  using By = DerivedFigure::By;
  static const std::map<std::string, std::pair<By, char>> kKinds = {{"sum", {By::Sum, '+'}}, {"proportion", {By::Proportion, '/'}}, {"ratio", {By::Ratio, '/'}}, {"product", {By::Product, '*'}}};
  std::vector<DerivedFigure> all;
  std::set<std::string> once;
  for (const auto& word : words) {
    const auto equals = word.find('='), colon = word.find(':', equals == std::string::npos ? 0 : equals);
    const auto wrong = [&](const std::string& what) { return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" {}", word, what), "--derive", kHow}; };
    if (equals == std::string::npos || colon == std::string::npos) return wrong("says nothing that can be derived");
    DerivedFigure figure;
    figure.name = std::string(trim(word.substr(0, equals)));
    const std::string kind(trim(word.substr(equals + 1, colon - equals - 1))), of = word.substr(colon + 1);
    const auto by = kKinds.find(kind);
    if (by == kKinds.end()) return wrong("is of no known kind");
    figure.by = by->second.first;
    for (const auto part : split(of, by->second.second)) figure.parts.emplace_back(trim(part));
    const bool is_sum = figure.by == DerivedFigure::By::Sum;
    if (figure.parts.size() < 2) return wrong("has not two parts");
    if (!is_sum && figure.parts.size() > 2) return wrong("has more than two parts");
    if (figure.name.empty() || std::ranges::any_of(figure.parts, &std::string::empty)) return wrong("leaves out a name");
    if (is_sum && std::set<std::string>(figure.parts.begin(), figure.parts.end()).size() < figure.parts.size()) return wrong("adds a figure to itself");
    if (!once.insert(lowerAscii(figure.name)).second) return wrong("has a name that stands twice");
    all.push_back(std::move(figure));
  }
  return all;
}

Result<void> addDerived(Layer& layer, const std::vector<DerivedFigure>& derived, std::vector<FigureColumns>& figures) {
  for (const auto& figure : derived) {
    std::vector<Part> parts;
    bool has_margins = true;
    for (const auto& name : figure.parts) {
      const FigureColumns* part = figureNamed(figures, name);
      if (part == nullptr) return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" is no figure of this call", name), "--derive", "Name it with --counts or --means as well"};
      parts.push_back(partOf(layer.table, *part));
      has_margins = has_margins && !part->margin.empty();
    }
    std::vector<double> value(layer.rows(), kNan), margin(layer.rows(), kNan);
    std::size_t above = 0;
    for (std::size_t row = 0; row < layer.rows(); ++row) {
      std::tie(value[row], margin[row]) = derivedAt(figure, parts, row);
      above += figure.by == DerivedFigure::By::Proportion && value[row] > 1 ? 1 : 0;
    }
    if (above > 0) layer.remarks.push_back(fmt::format("{}: in {} areas the part is larger than its whole; their margins are those of a ratio", figure.name, above));
    Table added;
    added.add(Column::reals(figure.name, value));
    if (has_margins) added.add(Column::reals(figure.name + "_moe", margin));
    const std::size_t before = layer.table.width();
    addColumns(layer, added);
    figures.push_back({layer.table.column(before).name(), has_margins ? layer.table.column(before + 1).name() : ""});
  }
  return {};
}

void addReliability(Layer& layer, const std::vector<FigureColumns>& figures, const Reliability& limits) {
  for (const auto& figure : figures) {
    if (figure.margin.empty()) continue;
    const auto value = columnOf(layer.table, figure.value).toReals(), margin = columnOf(layer.table, figure.margin).toReals();
    std::vector<double> variation(value.size(), kNan);
    std::vector<std::string> words(value.size());
    for (std::size_t row = 0; row < value.size(); ++row) {
      if (std::isnan(value[row]) || std::isnan(margin[row]) || value[row] == 0) continue;
      variation[row] = analysis::coefficientOfVariation(value[row], margin[row]);
      words[row] = variation[row] <= limits.high ? "high" : variation[row] <= limits.medium ? "medium" : "low";
    }
    addColumns(layer, TableMaker{}.reals(figure.value + "_cv", variation).named(figure.value + "_reliability", words).done());
  }
}

}  // namespace leeward::study

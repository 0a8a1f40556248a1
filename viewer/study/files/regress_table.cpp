#include "viewer/study/files/regress_table.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "analysis/rates/intervals.h"
#include "shared/base/missing.h"
#include "shared/base/text.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::ExplainingColumn;

constexpr std::size_t kMostWords = 50;

bool isEmpty(const Column& column, std::size_t row) { return column.isMissing(row) || trim(column.asText(row)).empty(); }

/// Whether a column holds words alone.
bool holdsWords(const Column& column) {
  bool any = false;
  for (std::size_t row = 0; row < column.size(); ++row) {
    if (isEmpty(column, row)) continue;
    if (column.asReal(row)) return false;
    any = true;
  }
  return any;
}

/// One column of 0 and 1 for each word but the first.
Result<std::vector<ExplainingColumn>> columnsOfWords(const Column& column, const std::string& source) {
  std::set<std::string> words;
  for (std::size_t row = 0; row < column.size(); ++row) {
    if (!isEmpty(column, row)) words.insert(std::string(trim(column.asText(row))));
  }
  if (words.size() > kMostWords) {
    return Problem{ProblemCode::BadData, fmt::format("the column \"{}\" has {} different words", column.name(), words.size()), source, fmt::format("Put them together into {} or fewer", kMostWords)};
  }
  if (words.size() == 1) return Problem{ProblemCode::BadData, fmt::format("the column \"{}\" has one word in all rows", column.name()), source, "Leave it out"};
  std::vector<ExplainingColumn> columns;
  for (auto word = std::next(words.begin()); word != words.end(); ++word) {
    ExplainingColumn made{fmt::format("{}={}", column.name(), *word), std::vector<double>(column.size(), kNan)};
    for (std::size_t row = 0; row < column.size(); ++row) {
      if (!isEmpty(column, row)) made.values[row] = trim(column.asText(row)) == *word ? 1 : 0;
    }
    columns.push_back(std::move(made));
  }
  return columns;
}

Result<std::vector<ExplainingColumn>> explainingColumns(const RegressTableRequest& request, const Table& table) {
  LEEWARD_ASSIGN(names, columnList(request.on, "--on"));
  if (names.empty()) return Problem{ProblemCode::InvalidArgument, "no column is named that could explain the counts", "--on", "Name one or more, parted by commas"};
  std::vector<ExplainingColumn> columns;
  std::set<std::string> seen;
  for (const std::string& name : names) {
    LEEWARD_ASSIGN(column, needColumn(table, name, request.table.source, "--on"));
    if (column->name() == request.events || column->name() == request.exposure) {
      return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" can't explain itself", column->name()), "--on", "Leave the columns of --events and --exposure out"};
    }
    if (!seen.insert(column->name()).second) return Problem{ProblemCode::InvalidArgument, fmt::format("\"{}\" stands twice", column->name()), "--on", "Name each column once"};
    if (holdsWords(*column)) {
      LEEWARD_ASSIGN(made, columnsOfWords(*column, request.table.source));
      for (auto& one : made) columns.push_back(std::move(one));
    } else {
      LEEWARD_ASSIGN(values, needNumbers(table, name, request.table.source, "--on", true));
      columns.push_back({column->name(), std::move(values)});
    }
  }
  return columns;
}

/// Rows left out since something is missing, and how many have no exposure.
std::size_t reportMissing(const RegressTableRequest& request, const Table& table, const std::vector<double>& events, const std::vector<double>& exposure, const std::vector<ExplainingColumn>& columns,
                          std::vector<RefusedRow>& refused) {
  std::size_t without_exposure = 0;
  for (std::size_t row = 0; row < table.rows(); ++row) {
    std::string missing = std::isnan(events[row]) ? request.events : !exposure.empty() && std::isnan(exposure[row]) ? request.exposure : "";
    for (std::size_t j = 0; missing.empty() && j < columns.size(); ++j) {
      if (std::isnan(columns[j].values[row])) missing = columns[j].name.substr(0, columns[j].name.find('='));
    }
    if (!missing.empty()) refused.push_back(refusedRow(table, row, missing, "no value: left out of the fit"));
    else if (!exposure.empty() && exposure[row] == 0) ++without_exposure;
  }
  return without_exposure;
}

/// "row 7" in a problem of the fit becomes the line of the file.
Problem inTheFile(Problem problem, const RegressTableRequest& request, const Table& table) {
  std::size_t row = 0;
  if (std::sscanf(problem.where.c_str(), "row %zu", &row) == 1 && row >= 1 && row <= table.rows()) problem.where = rowName(table, row - 1);
  return std::move(problem).at(request.table.source);
}

Table termsTable(const analysis::CountRegression& fit, double level) {
  std::vector<std::string> names;
  std::vector<double> coefficient, error, hc0, hc1, z, p, ratio, low, high;
  const double reach = analysis::normalReach(level);
  for (const auto& term : fit.terms) {
    names.push_back(term.name), coefficient.push_back(term.coefficient), error.push_back(term.standard_error), hc0.push_back(term.robust_hc0), hc1.push_back(term.robust_hc1);
    z.push_back(term.z), p.push_back(term.p), ratio.push_back(std::exp(term.coefficient));
    low.push_back(std::exp(term.coefficient - reach * term.standard_error)), high.push_back(std::exp(term.coefficient + reach * term.standard_error));
  }
  const auto all = [&](double value) { return std::vector<double>(names.size(), std::isinf(value) ? kNan : value); };
  return TableMaker{}.texts("term", names).reals("coefficient", coefficient).reals("standard_error", error).reals("robust_hc0", hc0).reals("robust_hc1", hc1).reals("z", z).reals("p", p)
      .reals("rate_ratio", ratio).reals("ratio_low", low).reals("ratio_high", high).reals("deviance", all(fit.deviance)).reals("null_deviance", all(fit.null_deviance))
      .reals("df_residual", all(static_cast<double>(fit.df_residual))).reals("log_likelihood", all(fit.log_likelihood)).reals("aic", all(fit.aic)).reals("pearson", all(fit.pearson))
      .reals("dispersion", all(fit.dispersion)).reals("theta", all(fit.theta)).reals("theta_se", all(fit.theta_se)).done();
}

}  // namespace

Result<RegressTable> regressTable(const RegressTableRequest& request, Progress& progress) {
  if (request.neighbours) LEEWARD_TRY(neighbourKind(request.neighbours->kind));
  auto reading = progress.part(0, 0.4), fitting = progress.part(0.4, 1);
  LEEWARD_ASSIGN(input, readInput(request.table, reading));
  const auto& source = request.table.source;
  LEEWARD_ASSIGN(events, needNumbers(input.table, request.events, source, "--events", true));
  std::vector<double> exposure;
  if (!request.exposure.empty()) {
    LEEWARD_ASSIGN(given, needNumbers(input.table, request.exposure, source, "--exposure", true));
    exposure = std::move(given);
  }
  LEEWARD_ASSIGN(columns, explainingColumns(request, input.table));
  auto fit = analysis::countRegression({.events = events, .exposure = exposure, .columns = columns, .kind = request.kind}, fitting);
  if (!fit) return inTheFile(std::move(fit).problem(), request, input.table);
  RegressTable out;
  std::vector<std::string> remarks = std::move(input.remarks);
  const std::size_t without_exposure = reportMissing(request, input.table, events, exposure, columns, out.refused);
  if (without_exposure > 0) remarks.push_back(fmt::format("{} of {} rows have no exposure and tell nothing", without_exposure, events.size()));
  if (request.neighbours) {
    LEEWARD_ASSIGN(lists, neighbourLists(input, source, *request.neighbours, fitting));
    LEEWARD_ASSIGN(left, analysis::moran(fit->residual, lists.neighbours));
    out.residual_moran = std::move(left);
    remarks.insert(remarks.end(), lists.remarks.begin(), lists.remarks.end());
  }
  out.terms = termsTable(*fit, request.level);
  if (request.rows) {
    addColumns(input, TableMaker{}.reals("expected", fit->expected).reals("residual", fit->residual).reals("leverage", fit->leverage).done());
    remarks.insert(remarks.end(), input.remarks.begin(), input.remarks.end());
    out.layer = std::move(input);
  } else {
    out.layer.name = "terms";
    out.layer.table = out.terms;
  }
  out.layer.remarks = std::move(remarks);
  out.fit = std::move(*fit);
  return out;
}

}  // namespace leeward::study

#include "analysis/regression/design.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <Eigen/Dense>
#include <fmt/format.h>

#include "shared/base/text.h"

namespace leeward::analysis {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

using Rows = Eigen::Map<const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>;

Rows rowsOf(const CountDesign& design) { return {design.x.data(), static_cast<Index>(design.rows()), static_cast<Index>(design.terms())}; }

constexpr double kNoRest = 1e-7;   ///< of a column's length: what is left of it after taking out others is rounding
constexpr double kNoShare = 1e-6;  ///< coefficients of scaled columns below it are rounding

Problem bad(std::string what, std::string where, std::string mend) { return {ProblemCode::BadData, std::move(what), std::move(where), std::move(mend)}; }

Result<void> checkShapes(const CountRegressionRequest& request) {
  const std::size_t rows = request.events.size();
  bool fits = request.exposure.empty() || request.exposure.size() == rows;
  std::set<std::string> names;
  for (const auto& column : request.columns) {
    fits &= column.values.size() == rows;
    if (!names.insert(column.name).second) return Problem{ProblemCode::InvalidArgument, fmt::format("the column \"{}\" is named twice", column.name), "", "Name each once"};
  }
  if (!fits) return Problem{ProblemCode::InvalidArgument, "columns have different numbers of rows", "", ""};
  return {};
}

/// Whether a row tells something; problems of its counts.
Result<bool> tells(const CountRegressionRequest& request, std::size_t i) {
  const double events = request.events[i], exposure = request.exposure.empty() ? 1 : request.exposure[i];
  const std::string where = fmt::format("row {}", i + 1);
  if (std::isnan(events) || std::isnan(exposure)) return false;
  if (events < 0 || events != std::floor(events) || std::isinf(events)) return bad(fmt::format("{} is no count of events", events), where, "Counts are whole and not negative; put what they are counted from into the exposure");
  if (exposure < 0 || std::isinf(exposure)) return bad(fmt::format("{} is no exposure", exposure), where, "Exposure is 0 or more");
  if (exposure == 0 && events > 0) return bad("there are events where the exposure is 0", where, "Correct the exposure, or leave the row's events empty");
  return exposure > 0 && std::ranges::none_of(request.columns, [&](const ExplainingColumn& column) { return !std::isfinite(column.values[i]); });
}

/// The first column of `x` that follows from those before it, up to rounding, and the coefficients by which it does (0 for later columns).
struct Dependent {
  Index column = -1;
  VectorXd by;
};

/// All of them. Gram-Schmidt, each column twice, so that what is left is right to rounding.
std::vector<Dependent> dependents(const MatrixXd& x) {
  MatrixXd q(x.rows(), x.cols()), r = MatrixXd::Zero(x.cols(), x.cols());
  std::vector<Index> kept;
  std::vector<Dependent> found;
  for (Index j = 0; j < x.cols(); ++j) {
    VectorXd rest = x.col(j), shares = VectorXd::Zero(static_cast<Index>(kept.size()));
    for (int pass = 0; pass < 2; ++pass) {
      for (std::size_t k = 0; k < kept.size(); ++k) {
        const double share = q.col(static_cast<Index>(k)).dot(rest);
        rest -= share * q.col(static_cast<Index>(k));
        shares[static_cast<Index>(k)] += share;
      }
    }
    if (rest.norm() > kNoRest * std::max(x.col(j).norm(), 1e-300)) {
      const auto k = static_cast<Index>(kept.size());
      r.col(k).head(k) = shares;
      r(k, k) = rest.norm();
      q.col(k) = rest / rest.norm();
      kept.push_back(j);
      continue;
    }
    const auto size = static_cast<Index>(kept.size());
    const VectorXd solved = r.topLeftCorner(size, size).triangularView<Eigen::Upper>().solve(shares);
    Dependent one{j, VectorXd::Zero(x.cols())};
    for (Index k = 0; k < size; ++k) one.by[kept[static_cast<std::size_t>(k)]] = solved[k];
    found.push_back(std::move(one));
  }
  return found;
}

/// "a", "b" and others with a share in a direction; the constant is not named.
std::string namesIn(const VectorXd& direction, const std::vector<std::string>& names) {
  std::vector<std::string> said;
  for (Index j = 1; j < direction.size(); ++j) {
    if (std::abs(direction[j]) > kNoShare) said.push_back("\"" + names[static_cast<std::size_t>(j)] + "\"");
  }
  return join(said, ", ");
}

Result<void> checkIndependence(const CountDesign& design) {
  const auto found = dependents(rowsOf(design));
  if (found.empty()) return {};
  const std::string& name = design.names[static_cast<std::size_t>(found.front().column)];
  return bad(fmt::format("the column \"{}\" follows from {}, so their shares can't be told apart", name, namesIn(found.front().by, design.names)), "", "Leave one of them out");
}

/// A direction in which all rows with events stand still and no row without rises: the likelihood grows along it without end.
Result<void> checkSeparation(const CountDesign& design) {
  std::vector<Index> with, without;
  for (std::size_t i = 0; i < design.rows(); ++i) (design.events[i] > 0 ? with : without).push_back(static_cast<Index>(i));
  const Rows x = rowsOf(design);
  MatrixXd seen(static_cast<Index>(with.size()), x.cols());
  for (std::size_t i = 0; i < with.size(); ++i) seen.row(static_cast<Index>(i)) = x.row(with[i]);
  for (const Dependent& one : dependents(seen)) {
    VectorXd direction = -one.by;
    direction[one.column] = 1;
    double least = 0, most = 0;
    for (const Index i : without) {
      const double along = x.row(i).dot(direction);
      least = std::min(least, along), most = std::max(most, along);
    }
    const double rounding = 1e-6 * std::max(most, -least);
    if (least < -rounding && most > rounding) continue;
    return bad(fmt::format("the share of {} has no end: all rows that differ in it from those with events have none", namesIn(direction, design.names)), "",
               "Leave the column out, or put its rare values together");
  }
  return {};
}

/// The next column of x, scaled.
Result<void> addScaled(const ExplainingColumn& column, std::size_t terms, CountDesign& design) {
  VectorXd scaled(static_cast<Index>(design.rows()));
  for (std::size_t i = 0; i < design.rows(); ++i) scaled[static_cast<Index>(i)] = column.values[design.row[i]];
  const double largest = scaled.cwiseAbs().maxCoeff(), mean = scaled.mean();
  scaled.array() -= mean;
  const double sd = std::sqrt(scaled.squaredNorm() / static_cast<double>(design.rows()));
  if (!(sd > 1e-12 * largest)) return bad(fmt::format("the column \"{}\" has one value in all rows that can be used", column.name), "", "Leave it out");
  const std::size_t at = design.names.size();
  for (std::size_t i = 0; i < design.rows(); ++i) design.x[i * terms + at] = scaled[static_cast<Index>(i)] / sd;
  design.names.push_back(column.name), design.mean.push_back(mean), design.sd.push_back(sd);
  return {};
}

}  // namespace

Result<CountDesign> countDesign(const CountRegressionRequest& request) {
  LEEWARD_TRY(checkShapes(request));
  CountDesign design;
  for (std::size_t i = 0; i < request.events.size(); ++i) {
    LEEWARD_ASSIGN(told, tells(request, i));
    if (told) design.row.push_back(i);
  }
  const std::size_t terms = request.columns.size() + 1, rows = design.rows();
  if (rows <= terms) {
    return bad(fmt::format("{} rows can be used, too few for {} columns and a constant", rows, request.columns.size()), "", "Take fewer columns, or fill in what is missing");
  }
  for (const std::size_t at : design.row) {
    design.events.push_back(request.events[at]);
    design.log_exposure.push_back(request.exposure.empty() ? 0 : std::log(request.exposure[at]));
  }
  if (std::ranges::all_of(design.events, [](double count) { return count == 0; })) return bad("there is no event in any row, so no rate to explain", "", "Check which column was taken as events");
  design.x.assign(rows * terms, 1);
  design.names = {"(Intercept)"}, design.mean = {0}, design.sd = {1};
  for (const ExplainingColumn& column : request.columns) LEEWARD_TRY(addScaled(column, terms, design));
  LEEWARD_TRY(checkIndependence(design));
  LEEWARD_TRY(checkSeparation(design));
  return design;
}

}  // namespace leeward::analysis

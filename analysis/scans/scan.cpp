#include "analysis/scans/scan.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "analysis/scans/maxima.h"

namespace leeward::analysis {
namespace {

/// Statistics that differ by less are one: the same window seen from two centres sums in two orders.
constexpr double kAlike = 1e-9;

bool isWhole(double value) { return value == std::floor(value); }

Problem wrongScan(std::string what, std::string mend) { return {ProblemCode::InvalidArgument, std::move(what), "", std::move(mend)}; }
Problem badScan(std::string what, std::string mend) { return {ProblemCode::BadData, std::move(what), "", std::move(mend)}; }

Result<void> checkRequest(const ScanAreas& areas, const ScanRequest& request) {
  if (!(request.largest > 0 && request.largest <= 1)) return wrongScan("the largest share of a window must be above 0 and at most 1", "Give a share such as 0.5");
  if (request.theta && !(*request.theta > 0 && std::isfinite(*request.theta))) return wrongScan("the size of the spread must be above 0", "Give the theta of the fit");
  if (request.theta && request.model == ScanModel::Bernoulli) return wrongScan("a spread goes with the Poisson model alone", "Leave it out");
  if (!areas.expected.empty() && request.model == ScanModel::Bernoulli) return wrongScan("expected events go with the Poisson model alone", "Leave them out");
  if (request.ellipses && areas.lon_lat) return wrongScan("ellipses need plane coordinates", "Reproject the places");
  if (request.time != ScanTime::None && areas.periods < 2) return wrongScan("a scan in time needs at least two periods", "Leave the time out");
  if (request.time == ScanTime::None && areas.periods != 1) return wrongScan("a scan of places alone has one period", "");
  const auto cells = areas.places.size() * areas.periods;
  if (areas.events.size() != cells || areas.exposure.size() != cells || (!areas.expected.empty() && areas.expected.size() != cells)) {
    return wrongScan("there must be one number a place and period", "");
  }
  for (const Point p : areas.places) {
    if (!(std::abs(p.x) < 1e15) || !(std::abs(p.y) < 1e15)) return wrongScan("a place is not finite", "Leave it out");
  }
  return {};
}

Result<void> checkCells(const ScanAreas& areas, ScanModel model) {
  const auto& weights = areas.expected.empty() ? areas.exposure : areas.expected;
  double exposure = 0, events = 0, weight = 0;
  for (std::size_t cell = 0; cell < areas.events.size(); ++cell) {
    const double y = areas.events[cell], n = areas.exposure[cell];
    if (!(y >= 0) || !(n >= 0) || !(weights[cell] >= 0) || !std::isfinite(y + n + weights[cell])) return wrongScan("a number is missing or below 0", "Leave the area out");
    if (!isWhole(y)) return badScan("events must be whole numbers", "Give counts, not rates");
    if (y > 0 && weights[cell] == 0) return badScan("there are events where nothing was exposed or expected", "Correct the area or leave it out");
    if (model == ScanModel::Bernoulli && (!isWhole(n) || y > n)) return badScan("with the Bernoulli model the exposure counts units, of which each is an event or none", "Give whole numbers not below the events");
    exposure += n, events += y, weight += weights[cell];
  }
  if (!areas.places.empty() && !(exposure > 0 && weight > 0)) return badScan("nothing was exposed anywhere", "Name the column that the events are counted from");
  if (events > 2e9 || (model == ScanModel::Bernoulli && exposure > 4e9)) return badScan("there are too many events for a scan", "Scan a part of the area");
  return {};
}

/// Runs of periods up to half of all, in the order that MaximaRequest asks for.
std::vector<ScanSpan> spansOf(std::size_t periods, ScanTime time) {
  if (time == ScanTime::None) return {{0, 0}};
  std::vector<ScanSpan> spans;
  const auto all = static_cast<std::uint32_t>(periods), longest = all / 2;
  if (time == ScanTime::Prospective) {
    for (std::uint32_t length = 1; length <= longest; ++length) spans.push_back({all - length, all - 1});
    return spans;
  }
  for (std::uint32_t first = 0; first < all; ++first) {
    for (auto last = first; last < std::min(all, first + longest); ++last) spans.push_back({first, last});
  }
  return spans;
}

struct Best {
  double statistic = 0;
  std::size_t centre = 0, places = 0, form = 0;
  ScanSpan span;
};

/// The best window around each place.
class Observed {
 public:
  Observed(const ScanAreas& areas, const std::vector<double>& weights, const ScanWindows& windows, const std::vector<ScanForm>& forms, const std::vector<ScanSpan>& spans,
           const ScanLikelihood& likelihood)
      : areas_(areas), weights_(weights), windows_(windows), forms_(forms), spans_(spans), likelihood_(likelihood) {}

  Result<std::vector<Best>> bestByPlace(Progress& progress) const {
    std::vector<Best> best(areas_.places.size());
    LEEWARD_TRY(progress.parallelFor(best.size(), 16, [&](std::size_t begin, std::size_t end) {
      ScanWindows::Room room;
      ScanOrder order;
      for (std::size_t centre = begin; centre < end; ++centre) {
        best[centre].centre = centre;
        for (std::size_t form = 0; form < forms_.size(); ++form) {
          windows_.order(centre, forms_[form], room, order);
          look(order, form, best[centre]);
        }
      }
    }));
    return best;
  }

  ScanCluster tell(const Best& best) const {
    ScanCluster cluster;
    ScanWindows::Room room;
    ScanOrder order;
    windows_.order(best.centre, forms_[best.form], room, order);
    double inside = 0;
    for (std::size_t k = 0; k < best.places; ++k) {
      cluster.members.push_back(order.place[k]);
      for (auto t = best.span.first; t <= best.span.last; ++t) {
        cluster.observed += areas_.events[order.place[k] * areas_.periods + t];
        inside += weights_[order.place[k] * areas_.periods + t];
      }
    }
    std::ranges::sort(cluster.members);
    cluster.centre = best.centre;
    cluster.radius = windows_.distance(best.centre, order.place[best.places - 1], forms_[best.form]);
    cluster.ratio = forms_[best.form].ratio, cluster.angle = forms_[best.form].angle;
    cluster.first_period = best.span.first, cluster.last_period = best.span.last;
    cluster.expected = likelihood_.expected(inside);
    const double rest = (likelihood_.events - cluster.observed) / (likelihood_.events - cluster.expected);
    cluster.relative_risk = cluster.observed / cluster.expected / rest;
    cluster.llr = likelihood_(cluster.observed, inside);
    cluster.statistic = best.statistic;
    return cluster;
  }

  std::vector<std::size_t> placesOf(const Best& best) const {
    ScanWindows::Room room;
    ScanOrder order;
    windows_.order(best.centre, forms_[best.form], room, order);
    return {order.place.begin(), order.place.begin() + static_cast<std::ptrdiff_t>(best.places)};
  }

  /// The best of a form's windows, if it is better.
  void look(const ScanOrder& order, std::size_t form, Best& best) const {
    const auto periods = areas_.periods;
    std::vector<double> events(periods, 0), weights(periods, 0);
    std::vector<double> events_to(periods + 1, 0), weights_to(periods + 1, 0);
    for (std::size_t k = 0; k < order.place.size(); ++k) {
      for (std::size_t t = 0; t < periods; ++t) {
        const auto cell = order.place[k] * periods + t;
        events[t] += areas_.events[cell], weights[t] += weights_[cell];
        events_to[t + 1] = events_to[t] + events[t], weights_to[t + 1] = weights_to[t] + weights[t];
      }
      if (order.ends[k] == 0) continue;
      for (const auto& span : spans_) {
        const double c = events_to[span.last + 1] - events_to[span.first], inside = weights_to[span.last + 1] - weights_to[span.first];
        if (!couldBeat(c, inside, best.statistic / forms_[form].penalty)) continue;
        const double statistic = forms_[form].penalty * likelihood_(c, inside);
        if (statistic > best.statistic * (1 + kAlike)) best = {statistic, best.centre, k + 1, form, span};
      }
    }
  }

 private:
  /// False only if it can't: c ln(c/e) - (c - e) is at most (c - e)^2 / 2e for c above e, and the rest's likewise over what is left.
  bool couldBeat(double c, double inside, double ratio) const {
    const double e = likelihood_.expected(inside), more = c - e, left = likelihood_.events - c;
    if (likelihood_.rates == ScanRates::Low) {  // for any c: at most (c - e)^2 / e, since ln x is at most x - 1
      if (!(more < 0)) return false;
      return likelihood_.model == ScanModel::Bernoulli || e >= likelihood_.events || more * more * (1 / e + 1 / (likelihood_.events - e)) * (1 + kAlike) > ratio;
    }
    if (!(more > 0)) return false;
    return likelihood_.model == ScanModel::Bernoulli || left <= 0 || more * more * (1 / e + 1 / left) * (0.5 + kAlike) > ratio;
  }

  const ScanAreas& areas_;
  const std::vector<double>& weights_;
  const ScanWindows& windows_;
  const std::vector<ScanForm>& forms_;
  const std::vector<ScanSpan>& spans_;
  const ScanLikelihood& likelihood_;
};

std::vector<ScanCluster> apart(std::vector<Best> best, const Observed& observed, std::size_t places, std::size_t most) {
  // Rounded, so that centres of one window come by their order.
  const auto key = [](const Best& one) { return std::round(one.statistic / kAlike); };
  std::ranges::stable_sort(best, [&](const Best& a, const Best& b) { return key(a) > key(b); });
  std::vector<bool> taken(places, false);
  std::vector<ScanCluster> clusters;
  for (const auto& one : best) {
    if (!(one.statistic > 0) || clusters.size() >= most) break;
    if (taken[one.centre]) continue;
    const auto members = observed.placesOf(one);
    if (std::ranges::any_of(members, [&](std::size_t place) { return taken[place]; })) continue;
    clusters.push_back(observed.tell(one));
    for (const auto place : members) taken[place] = true;
  }
  return clusters;
}

void giveChances(const std::vector<double>& maxima, std::vector<ScanCluster>& clusters) {
  const auto count = static_cast<double>(maxima.size());
  const double mean = std::accumulate(maxima.begin(), maxima.end(), 0.0) / count;
  double squares = 0;
  for (const double one : maxima) squares += (one - mean) * (one - mean);
  const double scale = count > 1 ? std::sqrt(squares / (count - 1) * 6) / std::numbers::pi : 0;
  for (auto& cluster : clusters) {
    const auto larger = std::ranges::count_if(maxima, [&](double one) { return one >= cluster.statistic * (1 - kAlike); });
    cluster.p = (1 + static_cast<double>(larger)) / (1 + count);
    if (scale > 0) cluster.p_gumbel = -std::expm1(-std::exp(-((cluster.statistic - mean) / scale + std::numbers::egamma)));
  }
}

}  // namespace

Result<ScanResult> scanAreas(const ScanAreas& areas, const ScanRequest& request, Progress& progress) {
  LEEWARD_TRY(checkRequest(areas, request));
  LEEWARD_TRY(checkCells(areas, request.model));
  ScanResult result;
  const auto& weights = areas.expected.empty() ? areas.exposure : areas.expected;
  result.events = std::accumulate(areas.events.begin(), areas.events.end(), 0.0);
  result.exposure = std::accumulate(areas.exposure.begin(), areas.exposure.end(), 0.0);
  if (!(result.events > 0) || areas.places.size() < 2) return result;
  std::vector<double> size(areas.places.size(), 0);
  for (std::size_t cell = 0; cell < areas.exposure.size(); ++cell) size[cell / areas.periods] += areas.exposure[cell];
  const ScanWindows windows(areas.places, areas.lon_lat, std::move(size), request.largest);
  const auto forms = scanForms(request.ellipses);
  const auto spans = spansOf(areas.periods, request.time);
  const ScanLikelihood likelihood{request.model, result.events, std::accumulate(weights.begin(), weights.end(), 0.0), request.rates};
  progress.report(0, request.replicates == 0 ? "Looking at all windows" : "Looking at all windows, with events laid by chance too");
  const Observed observed(areas, weights, windows, forms, spans, likelihood);
  std::vector<Best> best(areas.places.size());
  if (request.replicates == 0) {
    LEEWARD_ASSIGN(found, observed.bestByPlace(progress));
    best = std::move(found);
  } else {
    for (std::size_t centre = 0; centre < best.size(); ++centre) best[centre].centre = centre;
    const auto also = [&](std::size_t centre, std::size_t form, const ScanOrder& order) { observed.look(order, form, best[centre]); };
    const ScanDraws draws(request.model, weights, static_cast<std::uint64_t>(result.events), request.theta);
    LEEWARD_ASSIGN(maxima, replicateMaxima({windows, forms, spans, areas.periods, weights, likelihood, draws, request.replicates, request.seed, also}, progress));
    result.maxima = std::move(maxima);
  }
  result.clusters = apart(std::move(best), observed, areas.places.size(), request.most_clusters);
  if (!result.maxima.empty()) giveChances(result.maxima, result.clusters);
  progress.report(1.0);
  return result;
}

}  // namespace leeward::analysis

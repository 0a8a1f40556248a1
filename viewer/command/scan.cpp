#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/scan_areas.h"

namespace leeward::command {
namespace {

/// The same of too few.
std::string fewInWords(const study::ScanAreasRequest& request, const study::ScannedAreas& out) {
  if (out.found.clusters.empty()) return out.found.events > 0 ? "No window has less than its share of the events." : "There are no events, so there is nothing to find.";
  const auto& best = out.found.clusters.front();
  std::string text = fmt::format("Fewest for what was looked at: {} areas around {}: {:.0f} events where {:.1f} were expected", best.members.size(), out.names[best.centre], best.observed, best.expected);
  if (request.scan.replicates > 0) text += fmt::format(" (p {:.3g}, {} replicates{})", best.p, request.scan.replicates, best.p > 0.05 ? ": well within chance" : "");
  return text + ". Few finds are no proof of few dogs: looks at a bad hour or from the street find less, and of places where nobody looked this says nothing.";
}

/// What was found, and what it can't say, for a person.
std::string scanInWords(const study::ScanAreasRequest& request, const study::ScannedAreas& out) {
  if (request.scan.rates == analysis::ScanRates::Low) return fewInWords(request, out);
  const std::string caution = " Finds gather where crews look: this is a cluster of dogs only if the exposure counts the looks, and it says nothing of a single area.";
  if (out.found.clusters.empty()) {
    return out.found.events > 0 ? fmt::format("No window has more than its share of the {:.0f} events.", out.found.events) : std::string("There are no events, so there is nothing to find.");
  }
  const auto& best = out.found.clusters.front();
  std::string text = fmt::format("Most likely cluster: {} area{} around {}, within {:.0f} m", best.members.size(), best.members.size() == 1 ? "" : "s", out.names[best.centre], best.radius * best.ratio);
  if (request.scan.time != analysis::ScanTime::None) {
    const auto& from = out.periods[best.first_period];
    const auto& to = out.periods[best.last_period];
    text += from == to ? ", in " + from : fmt::format(", from {} to {}", from, to);
  }
  text += fmt::format(": {:.0f} events where {:.1f} were expected", best.observed, best.expected);
  if (request.scan.replicates == 0) return text + "; how often chance does the same was not asked." + caution;
  text += fmt::format("; chance alone makes so strong a cluster somewhere in {:.2g} of 100 such maps (p {:.3g}, {} replicates).", 100 * best.p, best.p, request.scan.replicates);
  if (best.p > 0.05) text += " That is well within chance.";
  return text + caution;
}

}  // namespace

void addScan(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("scan", "Scan statistics: clusters of events beyond their exposure, in place and time (Kulldorff 1997)");
  auto request = std::make_shared<study::ScanAreasRequest>();
  verb->add_option("AREAS", request->areas.source, "Areas (each stands at a point inside), points, or a table with --x and --y")->required();
  verb->add_option("--events", request->events, "Column with counts of events")->required()->type_name("COLUMN");
  verb->add_option("--exposure", request->exposure, "Column with what they are counted from, such as doors looked at")->required()->type_name("COLUMN");
  verb->add_option("--expected", request->expected, "Column with expected events, compared instead of the exposure")->type_name("COLUMN");
  verb->add_option("--id", request->id, "Column that names areas (without it: row numbers from 1)")->type_name("COLUMN");
  verb->add_option("--largest", request->scan.largest, "Share of the exposure that a cluster may hold")->check(numberFrom(0, 1, true))->capture_default_str();
  verb->add_option("--replicates", request->scan.replicates, "Maps made by chance that p comes from; 0 = none")->check(numberFrom(0, 1e6))->capture_default_str();
  verb->add_option_function<std::string>("--shape", [request](const std::string& shape) { request->scan.ellipses = shape == "ellipse"; }, "Windows; ellipse: circles and 46 ellipses")
      ->check(CLI::IsMember({"circle", "ellipse"}))->default_str("circle");
  verb->add_option_function<std::string>("--model", [request](const std::string& model) { request->scan.model = model == "bernoulli" ? analysis::ScanModel::Bernoulli : analysis::ScanModel::Poisson; },
                                         "poisson: events beside an exposure; bernoulli: each unit of exposure is an event or none")
      ->check(CLI::IsMember({"poisson", "bernoulli"}))->default_str("poisson");
  verb->add_option_function<std::string>("--rates", [request](const std::string& rates) { request->scan.rates = rates == "low" ? analysis::ScanRates::Low : analysis::ScanRates::High; },
                                         "Clusters with more events than their share, or with fewer")
      ->check(CLI::IsMember({"high", "low"}))->default_str("high");
  verb->add_option("--theta", request->scan.theta, "Size of the negative-binomial fit that --expected comes from: replicates spread as it does")->check(numberFrom(0, 1e9, true))->type_name("T");
  verb->add_option("--when", request->when, "Column with days (a row an area and time)")->type_name("COLUMN");
  verb->add_option_function<std::string>("--time", [request](const std::string& time) { request->scan.time = time == "prospective" ? analysis::ScanTime::Prospective : analysis::ScanTime::Retrospective; },
                                         "Clusters in time: any that were, or those still on in the last period")
      ->check(CLI::IsMember({"retrospective", "prospective"}));
  verb->add_option_function<std::string>("--every", [request](const std::string& every) { request->every = parseEvery(every); }, "Periods (without it: each time in the column)")
      ->check(CLI::IsMember({"month", "quarter", "year"}));
  verb->add_option("--clusters", request->scan.most_clusters, "How many to tell at most; none shares an area with a better one")->check(numberFrom(1, 1e6))->capture_default_str();
  addPointColumns(*verb, request->areas);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.seed = true, .strict = true});
  verb->footer("A row a cluster, the most likely one first: rank, centre, radius (metres; of an ellipse the short half-axis, with ratio and angle), members, observed, expected,\n"
               "relative_risk, llr, p (of all replicates' largest), p_gumbel (for small p: a Gumbel distribution fitted to them), areas; with --time from and to.\n"
               "A window ends only where the next distance is larger. Degrees are measured on great circles.\n"
               "If --expected comes from an overdispersed fit, give its --theta, or p is too small.");
  verb->callback([request, &terminal] {
    request->scan.seed = terminal.seed;
    auto progress = terminal.progress();
    auto out = study::scanAreaFile(*request, progress);
    if (!out) return terminal.fail(out.problem());
    terminal.say(scanInWords(*request, *out) + " Distances: " + out->frame + ".");
    terminal.deliver(out->layer, {.refused = std::move(out->refused), .members = fmt::format("\"events\":{:.0f},\"exposure\":{},\"replicates\":{}", out->found.events, out->found.exposure, out->found.maxima.size())});
  });
}

}  // namespace leeward::command

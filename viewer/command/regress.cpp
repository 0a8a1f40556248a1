#include <cmath>
#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/neighbour_options.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/regress_table.h"

namespace leeward::command {
namespace {

constexpr double kMuchSpread = 1.2;  ///< dispersion from which Poisson's errors are clearly too small; ours

/// The fit as members of the object: figures that have none are null.
nlohmann::ordered_json fitAsJson(const study::RegressTable& found, double level) {
  const auto& fit = found.fit;
  const auto number = [](double value) { return std::isfinite(value) ? nlohmann::ordered_json(value) : nlohmann::ordered_json(); };
  nlohmann::ordered_json json{{"terms", nlohmann::ordered_json::parse(tableAsJson(found.terms))}, {"kind", fit.kind == analysis::CountKind::Poisson ? "poisson" : "negative-binomial"}, {"level", level},
                              {"rows_used", fit.rows}, {"df_residual", fit.df_residual}, {"deviance", fit.deviance}, {"null_deviance", fit.null_deviance}, {"log_likelihood", fit.log_likelihood}, {"aic", fit.aic},
                              {"pearson", fit.pearson}, {"dispersion", number(fit.dispersion)}, {"theta", number(fit.theta)}, {"theta_se", number(fit.theta_se)}};
  if (const auto& left = found.residual_moran) {
    json["residual_moran"] = {{"i", left->statistic}, {"expectation", left->expectation}, {"variance", left->variance}, {"z", left->z}, {"p", left->p}, {"areas", left->areas}};
    if (!left->undefined.empty()) json["residual_moran"]["undefined"] = left->undefined;
  }
  return json;
}

/// "With each step of paved the rate changes by +4.1 % (+0.2 to +8.1 %, p 0.04)", or of a word against the first one.
void sayTerms(const Terminal& terminal, const study::RegressTable& found) {
  constexpr std::size_t kMostSaid = 12;
  const auto& terms = found.fit.terms;
  const Column &ratio = *found.terms.find("rate_ratio"), &low = *found.terms.find("ratio_low"), &high = *found.terms.find("ratio_high");
  for (std::size_t j = 1; j < std::min(terms.size(), kMostSaid + 1); ++j) {
    const auto change = [&](const Column& column) { return 100 * (column.asReal(j).value_or(0) - 1); };
    const bool is_word = terms[j].name.find('=') != std::string::npos;
    terminal.say(fmt::format("{} {} the rate {} by {:+.3g} % ({:+.3g} to {:+.3g} %, p {:.2g})", is_word ? "Where" : "With one more of", terms[j].name, is_word ? "differs" : "changes", change(ratio), change(low), change(high), terms[j].p));
  }
  if (terms.size() > kMostSaid + 1) terminal.say(fmt::format("... and {} more terms", terms.size() - kMostSaid - 1));
}

void sayFit(const Terminal& terminal, const study::RegressTable& found) {
  const auto& fit = found.fit;
  terminal.say(fmt::format("{} rows, deviance {:.4g} of {:.4g} without the columns, AIC {:.5g}", fit.rows, fit.deviance, fit.null_deviance, fit.aic));
  if (fit.kind == analysis::CountKind::NegativeBinomial) {
    if (std::isinf(fit.theta)) terminal.say("The counts spread no more than Poisson's: the fit is Poisson's, and theta has no end");
    else terminal.say(fmt::format("Theta {:.4g} (standard error {:.2g}): variance = mean + mean^2 / theta", fit.theta, fit.theta_se));
  } else if (fit.dispersion > kMuchSpread) {
    terminal.say(fmt::format("Counts spread {:.2g} times as much as Poisson's: its errors are too small; look at robust_hc1, or use --kind negative-binomial", fit.dispersion));
  }
  if (const auto& left = found.residual_moran) {
    if (!left->undefined.empty()) terminal.say("What is left over shows no pattern to speak of: " + left->undefined);
    else terminal.say(fmt::format("Among neighbours what is left over is {} (Moran's I {:.3f}, z {:.2f}, p {:.2g}){}", left->p > 0.05 ? "not more alike than chance would have it" : "still alike", left->statistic, left->z, left->p,
                                  left->p > 0.05 ? "" : ": something near by is missing, and errors are too small"));
  }
  terminal.say("Columns that go with a count need not cause it, and what holds of areas need not hold of the people in them");
}

}  // namespace

void addRegress(CLI::App& app, Terminal& terminal) {
  static const std::map<std::string, analysis::CountKind> kKinds = {{"poisson", analysis::CountKind::Poisson}, {"negative-binomial", analysis::CountKind::NegativeBinomial}};
  auto* verb = app.add_subcommand("regress", "Counts explained by columns: Poisson or negative-binomial regression with a log link");
  struct Call {
    study::RegressTableRequest table;
    study::NeighboursRequest neighbours{.kind = ""};
    std::string kind = "poisson";
  };
  auto call = std::make_shared<Call>();
  verb->add_option("TABLE", call->table.table.source, "File with rows; areas, if what is left over is looked at among neighbours")->required();
  verb->add_option("--events", call->table.events, "Column with counts")->required()->type_name("COLUMN");
  verb->add_option("--exposure", call->table.exposure, "Column with what they are counted from, such as planned doors")->type_name("COLUMN");
  verb->add_option("--on", call->table.on, "Columns that may explain them, parted by commas: numbers, or words (each against the first in the alphabet)")->required()->type_name("COLUMN,...");
  verb->add_option("--kind", call->kind, "Variance = mean, or mean + mean^2 / theta with theta fitted")->check(CLI::IsMember(&kKinds))->capture_default_str();
  verb->add_flag("--rows", call->table.rows, "Give the table with expected, residual (Pearson's) and leverage instead of the terms");
  addNeighbours(*verb, call->neighbours);
  addPointColumns(*verb, call->table.table);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal, {.level = true, .strict = true});
  verb->footer("A row a term: term, coefficient, standard_error, robust_hc0, robust_hc1 (White 1980), z, p, rate_ratio, ratio_low, ratio_high; then of the whole fit deviance,\n"
               "null_deviance, df_residual, log_likelihood, aic, pearson, dispersion, theta, theta_se. With --neighbours: whether what is left over still lies together.\n"
               "Rows without a value or exposure are left out. No column says why: what goes with a count need not cause it. Race and ethnicity don't belong among\n"
               "the columns by which a team decides where to go.");
  verb->callback([call, &terminal] {
    call->table.kind = kKinds.at(call->kind);
    call->table.level = terminal.level;
    if (!call->neighbours.kind.empty()) call->table.neighbours = call->neighbours;
    auto progress = terminal.progress();
    auto found = study::regressTable(call->table, progress);
    if (!found) return terminal.fail(found.problem());
    sayTerms(terminal, *found);
    sayFit(terminal, *found);
    terminal.say(fmt::format("Intervals at {:.0f} %", 100 * terminal.level));
    const std::string object = fitAsJson(*found, terminal.level).dump();
    terminal.deliver(found->layer, {.refused = std::move(found->refused), .members = object.substr(1, object.size() - 2)});
  });
}

}  // namespace leeward::command

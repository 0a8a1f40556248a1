#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/class_limits.h"

namespace leeward::command {

void addClasses(CLI::App& app, Terminal& terminal) {
  static const std::map<std::string, analysis::ClassesBy> kWays = {
      {"quantile", analysis::ClassesBy::Quantile}, {"equal", analysis::ClassesBy::Equal}, {"natural", analysis::ClassesBy::Natural}};
  auto* verb = app.add_subcommand("classes", "Class limits of a column, for a legend");
  struct Call {
    study::ClassLimitsRequest limits;
    std::string by = "quantile";
  };
  auto call = std::make_shared<Call>();
  verb->add_option("TABLE", call->limits.table.source, "File with rows")->required();
  verb->add_option("--value", call->limits.value, "Column with the values")->required()->type_name("COLUMN");
  verb->add_option("--count", call->limits.count, "How many classes, 1 to 64")->required()->check(CLI::Range(std::size_t{1}, std::size_t{64}))->type_name("N");
  verb->add_option("--by", call->by, "Equal numbers of values (type 7 of Hyndman & Fan 1996), equal steps, or least deviation within classes (Fisher 1958, Jenks 1977)")
      ->check(CLI::IsMember(&kWays))->capture_default_str();
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal, {.strict = true});
  verb->footer("A row a class: class, lower, upper, count, goodness_of_variance_fit. With --json also limits and counts as lists. The first class holds its lower\n"
               "limit, all others only the upper one.");
  verb->callback([call, &terminal] {
    call->limits.by = kWays.at(call->by);
    auto progress = terminal.progress();
    auto found = study::classLimits(call->limits, progress);
    if (!found) return terminal.fail(found.problem());
    const nlohmann::ordered_json limits = found->classes.limits, counts = found->classes.counts, fit = found->classes.goodness_of_variance_fit;
    terminal.say(fmt::format("Goodness of variance fit {:.4f}", found->classes.goodness_of_variance_fit));
    terminal.deliver(found->layer, {.refused = std::move(found->refused),
                                    .members = fmt::format("\"by\":\"{}\",\"limits\":{},\"counts\":{},\"goodness_of_variance_fit\":{},\"missing\":{}", call->by, limits.dump(),
                                                           counts.dump(), fit.dump(), found->missing)});
  });
}

}  // namespace leeward::command

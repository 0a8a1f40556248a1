#include <map>
#include <memory>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/trend_periods.h"

namespace leeward::command {
namespace {

nlohmann::ordered_json trendAsJson(const study::Trend& trend) {
  nlohmann::ordered_json json{{"by", trend.name}};
  const auto& k = trend.kendall;
  if (trend.seasonal) json["mann_kendall"] = {{"s", trend.seasonal->s}, {"z", trend.seasonal->z}, {"p", trend.seasonal->p}, {"seasonal", true}};
  else json["mann_kendall"] = {{"s", k.s}, {"z", k.z}, {"p", k.p}, {"tau", k.tau}, {"seasonal", false}};
  json["sen"] = {{"slope", trend.sen.slope}, {"low", trend.sen.interval.low}, {"high", trend.sen.interval.high}, {"per", trend.seasonal ? "year" : "period"}};
  if (const auto& p = trend.poisson) {
    json["poisson"] = {{"change", p->change}, {"low", p->change_interval.low}, {"high", p->change_interval.high}, {"p", p->p}, {"dispersion", p->dispersion}};
  }
  return json;
}

/// "North: S 12, p 0.03; a rise of 4.1 % a quarter (0.2 to 8.1 %)".
std::string trendInWords(const study::Trend& trend, const std::string& period) {
  const double p = trend.seasonal ? trend.seasonal->p : trend.kendall.p;
  std::string text = fmt::format("{}Mann-Kendall S {}, p {:.3g}", trend.name.empty() ? "" : trend.name + ": ", trend.seasonal ? trend.seasonal->s : trend.kendall.s, p);
  if (const auto& fit = trend.poisson) {
    text += fmt::format("; the rate changes by {:+.1f} % a {} ({:+.1f} to {:+.1f} %)", 100 * fit->change, period, 100 * fit->change_interval.low, 100 * fit->change_interval.high);
  }
  return text;
}

}  // namespace

void addTrend(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("trend", "Change over time: sums by period, Mann-Kendall, Sen's slope, Poisson trend");
  struct Call {
    study::TrendRequest trend;
    std::string every = "quarter";
  };
  auto call = std::make_shared<Call>();
  verb->add_option("TABLE", call->trend.table.source, "File with rows")->required();
  verb->add_option("--when", call->trend.when, "Column with days: ISO dates, or numbers of days since 1970-01-01")->required()->type_name("COLUMN");
  verb->add_option("--value", call->trend.value, "Column with what is followed; rows of a period are added up")->required()->type_name("COLUMN");
  verb->add_option("--by", call->trend.by, "Column that parts the rows into series")->type_name("COLUMN");
  verb->add_option("--exposure", call->trend.exposure, "Column that values are divided by, such as planned doors")->type_name("COLUMN");
  verb->add_option("--every", call->every, "Length of a period")->check(CLI::IsMember({"month", "quarter", "year"}))->capture_default_str();
  verb->add_flag("--season", call->trend.by_season, "Compare each month or quarter with itself in other years (Hirsch, Slack & Smith 1982)");
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal, {.level = true, .strict = true});
  verb->footer("A row a period, with the interval of its count (Garwood), then of the whole series: mk_s, mk_z, mk_p, sen_slope (a period; with --season a year), change,\n"
               "change_low, change_high (Poisson trend, wider where counts spread more than chance would). A period without rows counts 0; with --exposure it is a\n"
               "gap. It is change, not effect: what caused it is not shown.");
  verb->callback([call, &terminal] {
    call->trend.every = *parseEvery(call->every);
    call->trend.level = terminal.level;
    auto progress = terminal.progress();
    auto answer = study::trendOfPeriods(call->trend, progress);
    if (!answer) return terminal.fail(answer.problem());
    nlohmann::ordered_json trends = nlohmann::ordered_json::array();
    for (const auto& trend : answer->trends) {
      terminal.say(trendInWords(trend, call->every));
      trends.push_back(trendAsJson(trend));
    }
    terminal.say(fmt::format("Intervals at {:.0f} %", 100 * terminal.level));
    terminal.deliver(answer->layer, {.refused = std::move(answer->refused), .members = "\"trends\":" + trends.dump()});
  });
}

}  // namespace leeward::command

#include <memory>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/run_study.h"

namespace leeward::command {
namespace {

std::string totalsInWords(const Table& totals) {
  const auto n = [&](const char* count) { return formatCount(study::changedTotal(totals, study::kTogether, 0, count).value_or(0)); };
  return fmt::format("In all, each dog once: {} looks, {} visits, {} dogs met, {} given up, {} improved, {} neutered, {} referred.", n("looks"), n("visits"),
                     n("dogs_met"), n("given_up"), n("improved"), n("neutered"), n("referred"));
}

void sayLate(const study::ChangedOutcome& changed, Terminal& terminal) {
  terminal.say(inWords(*changed.since_frozen));
  if (changed.totals_as_they_are && changed.totals_as_they_are->rows() > 0) terminal.say("With them: " + totalsInWords(*changed.totals_as_they_are));
}

void showDogs(const study::RunRequest& request, Terminal& terminal) {
  auto progress = terminal.progress();
  auto dogs = study::whatBecameOfEach(request, progress);
  if (!dogs) return terminal.fail(dogs.problem());
  Layer layer;
  layer.name = "dogs";
  layer.table = std::move(dogs->dogs);
  if (dogs->newly_frozen) terminal.say(study::nowFrozenInWords(*dogs->newly_frozen));
  if (dogs->since_frozen) terminal.say(inWords(*dogs->since_frozen));
  std::size_t unclear = 0;
  for (std::size_t row = 0; row < layer.table.rows(); ++row) unclear += layer.table.find("unclear")->isMissing(row) ? 0 : 1;
  terminal.say("Change, not effect: nothing here says that the visits caused it. This list holds client data.");
  if (unclear > 0) terminal.say(fmt::format("{} histories are unclear: the last column says why. Nothing was guessed.", formatCount(static_cast<std::int64_t>(unclear))));
  terminal.deliver(layer, {.owner_only = true});
}

void showBehind(const study::BehindRequest& request, Terminal& terminal) {
  auto progress = terminal.progress();
  auto behind = study::whatIsBehind(request, progress);
  if (!behind) return terminal.fail(behind.problem());
  Layer layer;
  layer.name = "behind";
  layer.table = std::move(*behind);
  terminal.say(fmt::format("{} of {} in {}, a row each. This list holds client data.", formatCount(static_cast<std::int64_t>(layer.table.rows())), request.count, request.period));
  terminal.deliver(layer, {.owner_only = true});
}

}  // namespace

void addChanged(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("changed", "What changed for the dogs, by area and period");
  struct Request {
    study::ChangedStudyRequest changed;
    std::string every = "quarter";
    bool dogs = false, rates = false, costs = false, with_late = false;
    study::BehindRequest behind;
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->changed.run.folder, "Folder of the study")->required();
  verb->add_option("--by", request->changed.by, "Kind of area layer (without it: the whole study)")->check(CLI::IsMember(study::areaKinds()));
  verb->add_option("--every", request->every, "Period")->check(CLI::IsMember({"month", "quarter", "year"}))->capture_default_str();
  verb->add_flag("--dogs", request->dogs, "A row an animal instead: its outcome by the rule, what keeps it from one, what is unclear");
  verb->add_flag("--rates", request->rates, "Rates instead of counts: per 100 animals and per 1,000 planned doors, with intervals, change and funnel limits")->excludes("--dogs");
  verb->add_flag("--costs", request->costs, "Hours and cost for each animal met, improved and neutered instead, with intervals; parameters stand under [costs] and [outings]")->excludes("--dogs")->excludes("--rates");
  auto* behind = verb->add_option("--behind", request->behind.count, "The looks behind one count instead, a row a thing counted: a column of the table, with --period (and --area, with --by)")->excludes("--dogs")->excludes("--rates")->excludes("--costs");
  auto* period = verb->add_option("--period", request->behind.period, "Period of --behind, as the table names it: \"2025 Q1\"")->needs(behind);
  verb->add_option("--area", request->behind.area, "Area of --behind: its id or name in the table; elsewhere for what lies in none")->needs(behind);
  behind->needs(period);
  addDay(*verb, "--as-of", request->changed.run.as_of, "Figures as of the end of this day, instead of the study file's");
  verb->add_flag("--with-late", request->with_late, "Take in what came in since this day was first reported, and freeze its figures anew");
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    request->changed.every = *parseEvery(request->every);
    request->changed.run.records = request->with_late ? study::Records::FrozenAnew : study::Records::AsFirstReported;
    auto progress = terminal.progress();
    if (!request->behind.count.empty()) {
      request->behind.changed = request->changed;
      return showBehind(request->behind, terminal);
    }
    if (request->dogs) return showDogs(request->changed.run, terminal);
    auto changed = study::whatChanged(request->changed, progress);
    if (!changed) return terminal.fail(changed.problem());
    if (changed->newly_frozen) terminal.say(study::nowFrozenInWords(*changed->newly_frozen));
    if (terminal.json && terminal.output.empty()) {
      if (changed->since_frozen) sayLate(*changed, terminal);
      return terminal.print("{\"rows\":" + tableAsJson(request->costs ? changed->costs : request->rates ? changed->rates : changed->periods) + ",\"totals\":" + tableAsJson(changed->totals) + "}\n");
    }
    Layer layer;
    layer.name = "changed";
    layer.table = request->costs ? std::move(changed->costs) : request->rates ? std::move(changed->rates) : changed->periods;
    if (request->costs) {
      for (const auto& line : changed->cost_words) terminal.say(line);
    }
    terminal.say("Change, not effect: nothing here says that the visits caused it. A dog can stand in several periods: don't add them up.");
    if (changed->totals.rows() > 0) terminal.say(totalsInWords(changed->totals));
    if (changed->since_frozen) sayLate(*changed, terminal);
    if (const auto partial = study::partialPeriod(changed->periods); !partial.empty()) terminal.say("The last period isn't over: " + partial + "; it is compared with none.");
    if (const auto partial = study::firstPartialPeriod(changed->periods); !partial.empty()) terminal.say("The record begins within the first period: " + partial + "; it is compared with none.");
    terminal.deliver(layer);
  });
}

}  // namespace leeward::command

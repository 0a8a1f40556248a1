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

}  // namespace

void addChanged(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("changed", "What changed for the dogs, by area and period");
  struct Request {
    study::ChangedStudyRequest changed;
    std::string every = "quarter";
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->changed.run.folder, "Folder of the study")->required();
  verb->add_option("--by", request->changed.by, "Kind of area layer (without it: the whole study)")->check(CLI::IsMember(study::areaKinds()));
  verb->add_option("--every", request->every, "Period")->check(CLI::IsMember({"month", "quarter", "year"}))->capture_default_str();
  addDay(*verb, "--as-of", request->changed.run.as_of, "Figures as of the end of this day, instead of the study file's");
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    request->changed.every = *parseEvery(request->every);
    auto progress = terminal.progress();
    auto changed = study::whatChanged(request->changed, progress);
    if (!changed) return terminal.fail(changed.problem());
    if (terminal.json && terminal.output.empty()) {
      return terminal.print("{\"rows\":" + tableAsJson(changed->periods) + ",\"totals\":" + tableAsJson(changed->totals) + "}\n");
    }
    Layer layer;
    layer.name = "changed";
    layer.table = std::move(changed->periods);
    terminal.say("Change, not effect: nothing here says that the visits caused it. A dog can stand in several periods: don't add them up.");
    if (changed->totals.rows() > 0) terminal.say(totalsInWords(changed->totals));
    if (const auto partial = study::partialPeriod(layer.table); !partial.empty()) terminal.say("The last period isn't over: " + partial + ".");
    terminal.deliver(layer);
  });
}

}  // namespace leeward::command

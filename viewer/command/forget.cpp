#include <memory>
#include <string>

#include <fmt/format.h>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/forget_household.h"

namespace leeward::command {
namespace {

std::string listOf(const std::vector<std::string>& texts) {
  std::string list;
  for (const auto& text : texts) list += (list.empty() ? "" : ",") + jsonText(text);
  return "[" + list + "]";
}

void say(const study::ForgottenStudy& done, bool dry_run, Terminal& terminal) {
  const auto& rows = done.rows;
  if (terminal.json) {
    return terminal.print(fmt::format("{{\"dry_run\":{},\"looks\":{},\"visits\":{},\"sightings\":{},\"photos\":{},\"refused_rows\":{},\"decisions\":{},\"log_lines\":{},\"masked_places\":{},\"removed\":{},\"still_holding\":{}}}\n", dry_run, rows.looks,
                                      rows.visits, rows.sightings, rows.photos, rows.refused_rows, rows.decisions, rows.log_lines, rows.masked_places, listOf(done.removed), listOf(done.still_holding)));
  }
  terminal.say(fmt::format("{}: {} looks with {} visits, {} sightings, {} pictures' rows, {} refused rows, {} decisions, {} lines of the change log, {} moved places.", dry_run ? "Would leave" : "Left", rows.looks, rows.visits,
                           rows.sightings, rows.photos, rows.refused_rows, rows.decisions, rows.log_lines, rows.masked_places));
  terminal.say(fmt::format("{} {} made from the record {}; run makes them anew.", done.removed.size(), done.removed.size() == 1 ? "file" : "files", dry_run ? "would be removed" : "are removed"));
  for (const auto& file : done.in_frozen) terminal.say(fmt::format("{} the frozen day {} too: its figures move by them.", dry_run ? "Would leave" : "Left", file));
  for (const auto& file : done.still_holding) terminal.say("Still says it: " + file);
  terminal.say("Copies made by backup before now still hold it: make a new one and delete those. What was handed over is out; its figures name nobody.");
}

}  // namespace

void addForget(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("forget", "Take premises or a household out of the ledger, its log, caches and outputs, for good");
  auto request = std::make_shared<study::ForgetStudyRequest>();
  verb->add_option("DIR", request->folder, "Folder of the study")->required();
  auto* premises = verb->add_option("--premises", request->premises, "Everything at these premises: their id in the premises layer");
  verb->add_option("--household", request->household, "Every row with this name")->excludes(premises);
  verb->add_flag("--dry-run", request->dry_run, "Say what would leave and change nothing");
  verb->add_flag("--despite-referral", request->despite_referral, "Even if a referral has no answer yet (ask counsel first)");
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    const auto done = study::forgetInStudy(*request, progress);
    if (!done) return terminal.fail(done.problem());
    say(*done, request->dry_run, terminal);
  });
}

}  // namespace leeward::command

#include <memory>
#include <string>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/sheets/hand_over.h"

namespace leeward::command {
namespace {

struct Call {
  study::HandOverRequest request;
  std::string every;
};

void say(const sheets::HandOverDone& done, const std::string& audience, Terminal& terminal) {
  if (terminal.json) {
    std::string files, warnings;
    for (const auto& file : done.files) files += (files.empty() ? "" : ",") + jsonText(file);
    for (const auto& warning : done.warnings) warnings += (warnings.empty() ? "" : ",") + jsonText(warning);
    return terminal.print(fmt::format("{{\"audience\":{},\"files\":[{}],\"counts\":{},\"counts_withheld\":{},\"places\":{},\"places_withheld\":{},\"report\":{},\"warnings\":[{}]}}\n", jsonText(audience), files,
                                      done.counts, done.counts_withheld, done.places, done.places_withheld, jsonText(done.report), warnings));
  }
  for (const auto& file : done.files) terminal.say(file);
  if (audience == "authority") terminal.say("These files hold client data of this one case: for that authority only.");
  else terminal.say(fmt::format("{} of {} counts and {} of {} homes are withheld.", formatCount(static_cast<std::int64_t>(done.counts_withheld)), formatCount(static_cast<std::int64_t>(done.counts)),
                                formatCount(static_cast<std::int64_t>(done.places_withheld)), formatCount(static_cast<std::int64_t>(done.places + done.places_withheld))));
  for (const auto& warning : done.warnings) terminal.remark(warning);
  if (done.report.empty()) terminal.say("What was withheld and why: --report FILE lists it, outside the study's folder, as the study is sealed.");
  else terminal.say("What was withheld and why: " + done.report + " (holds client data; keep it).");
  terminal.say("Read read-me.txt, and look at the map, before you send anything.");
}

}  // namespace

void addHandOver(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("hand-over", "What leaves the team: small counts withheld, homes moved, looked through before it is put into FOLDER");
  auto call = std::make_shared<Call>();
  verb->add_option("DIR", call->request.run.folder, "Folder of the study")->required();
  verb->add_option("--audience", call->request.audience, "Who gets it")->check(CLI::IsMember({"public", "partner", "authority"}))->capture_default_str();
  verb->add_option("--case", call->request.case_id, "authority: the case, by the visit_id of a look there or the premises' id");
  verb->add_option("--by", call->request.by, "Area layer to count by: areas, jurisdictions, boundary ... (census block groups become tracts)");
  verb->add_option("--every", call->every, "Periods to count by; without it the study's")->check(CLI::IsMember({"month", "quarter", "year"}));
  verb->add_option("--report", call->request.report, "File for the lead's report of what was withheld, instead of the study's out (sealed study: nowhere)");
  addDay(*verb, "--as-of", call->request.run.as_of, "Figures as of the end of this day, instead of the study file's");
  verb->add_option("-o", terminal.output, "Folder to make")->required();
  verb->footer("A figure or place once handed over stays as it was in every later hand-over. viewer/HANDING_OVER.md says what each audience gets.");
  addCommonOptions(*verb, terminal, {.seed = true, .level = true});
  verb->callback([call, verb, &terminal] {
    if (verb->count("--seed") > 0) call->request.run.seed = terminal.seed;
    if (verb->count("--level") > 0) call->request.run.level = terminal.level;
    if (!call->every.empty()) call->request.every = parseEvery(call->every);
    auto progress = terminal.progress();
    auto done = sheets::handOver(call->request, terminal.output, progress);
    if (!done) return terminal.fail(done.problem());
    say(*done, call->request.audience, terminal);
  });
}

}  // namespace leeward::command

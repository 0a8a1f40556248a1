#include <memory>
#include <string>

#include "viewer/command/passphrase.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/made_files.h"
#include "viewer/study/seal_study.h"
#include "viewer/study/study_file.h"

namespace leeward::command {
namespace {

struct SealCall {
  std::string folder;
  bool change = false, open = false;
};

std::string listOf(const std::vector<std::string>& files) {
  std::string list;
  for (const auto& file : files) list += (list.empty() ? "" : ",") + jsonText(file);
  return "[" + list + "]";
}

void seal(const SealCall& call, Terminal& terminal) {
  auto progress = terminal.progress();
  const bool finishes = isSealed(study::StudyFile{.folder = call.folder}.ledger());
  auto passphrase = finishes ? Result<Secret>(Secret("")) : newPassphrase();
  if (!passphrase) return terminal.fail(passphrase.problem());
  const auto done = study::sealStudy(call.folder, *passphrase, progress);
  if (!done) return terminal.fail(done.problem());
  if (terminal.json) return terminal.print("{\"sealed\":" + listOf(done->sealed) + ",\"removed\":" + listOf(done->removed) + ",\"in_the_clear\":" + listOf(done->in_the_clear) + "}\n");
  for (const auto& file : done->sealed) terminal.say("Sealed: " + file);
  if (!done->removed.empty()) terminal.say("Sheets, lists and caches that were made from it are removed; run -o FOLDER writes sheets to a place outside the study.");
  if (!done->in_the_clear.empty()) terminal.say("These lie in the study's folder in the clear; what of them is the crew's, keep elsewhere:");
  for (const auto& file : done->in_the_clear) terminal.say("  " + file);
  terminal.say("Write the passphrase down and keep it apart from the laptop: nobody can open the study without it, we neither. Earlier backups are not sealed: make a new one and delete them. The disk itself may keep what was "
               "overwritten; keep it encrypted too.");
}

void changeOrOpen(const SealCall& call, Terminal& terminal) {
  auto progress = terminal.progress();
  if (auto opened = study::readStudyFile(call.folder); !opened) return terminal.fail(opened.problem());  // asks for the present one
  if (call.open) {
    if (auto done = study::openForGood(call.folder, progress); !done) return terminal.fail(done.problem());
    if (terminal.json) return terminal.print("{\"sealed\":[]}\n");
    return terminal.say("The study lies open now: whoever has this folder can read it.");
  }
  auto passphrase = newPassphrase();
  if (!passphrase) return terminal.fail(passphrase.problem());
  if (auto done = study::changePassphrase(call.folder, *passphrase, progress); !done) return terminal.fail(done.problem());
  if (terminal.json) return terminal.print("{\"changed\":true}\n");
  terminal.say("The new passphrase opens the study now. Backups and other copies keep the one that they had; who knows that one and has such a copy can read the study as it was then.");
}

}  // namespace

void addSeal(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("seal", "Seal a study by a passphrase, so that a lost laptop tells nothing of clients");
  auto call = std::make_shared<SealCall>();
  verb->add_option("DIR", call->folder, "Folder of the study")->required();
  auto* change = verb->add_flag("--change", call->change, "Another passphrase (by --passphrase-fd: the present one, then the new one, a line each)");
  verb->add_flag("--open", call->open, "Take the seal off for good")->excludes(change);
  addCommonOptions(*verb, terminal);
  verb->footer("A lost passphrase can't be replaced. Sealed are the ledger, frozen days and caches; backups made from now on are sealed by the same passphrase.");
  verb->callback([call, &terminal] { call->change || call->open ? changeOrOpen(*call, terminal) : seal(*call, terminal); });
}

}  // namespace leeward::command

#include "viewer/command/manual.h"

#include <string_view>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/command/verb_notes.h"

namespace leeward::command {
namespace {

/// Text that roff shows as it stands: its own signs escaped, line ends kept, no line begins with a command.
std::string roff(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if ((i == 0 || text[i - 1] == '\n') && (text[i] == '.' || text[i] == '\'')) out += "\\&";
    if (text[i] == '\\') out += "\\e";
    else if (text[i] == '-') out += "\\-";
    else out += text[i];
  }
  return out;
}

std::string roffOption(const OptionNote& option) {
  std::string names;
  for (const auto& name : option.names) names += (names.empty() ? "\\fB" : ", \\fB") + roff(name) + "\\fR";
  std::string text = ".TP\n" + names + (option.is_positional || option.value.empty() ? "" : " \\fI" + roff(option.value) + "\\fR") + "\n";
  text += roff(option.about);
  if (!option.choices.empty() && option.is_positional) text += ": " + roff(join(option.choices, ", "));
  if (!option.starting.empty()) text += " (" + roff(option.starting) + " if not said)";
  return text + ".\n";
}

std::string usageOf(const VerbNote& verb) {
  std::string usage = "\\fBleeward " + roff(verb.name) + "\\fR";
  for (const auto& option : verb.options) {
    if (option.is_positional) usage += option.is_required ? " \\fI" + roff(option.names[0]) + "\\fR" : " [\\fI" + roff(option.names[0]) + "\\fR]";
    else if (option.is_required) usage += " \\fB" + roff(option.names.back()) + "\\fR \\fI" + roff(option.value) + "\\fR";
  }
  return usage + " [options]";
}

std::string roffVerb(const VerbNote& verb) {
  std::string text = ".SS " + roff(verb.name) + "\n" + usageOf(verb) + "\n.PP\n" + roff(verb.about) + ".\n";
  for (const auto& option : verb.options) {
    if (option.names.back() != "--help") text += roffOption(option);
  }
  if (!verb.footer.empty()) text += ".PP\n.nf\n" + roff(verb.footer) + (verb.footer.back() == '\n' ? "" : "\n") + ".fi\n";
  return text;
}

}  // namespace

std::string manualPage(const CLI::App& app, const std::string& version) {
  std::string page = fmt::format(".TH LEEWARD 1 \"\" \"Leeward {}\" \"User commands\"\n.SH NAME\nleeward \\- a GIS analysis workbench for outreach to dogs kept outdoors\n"
                                 ".SH SYNOPSIS\n\\fBleeward\\fR \\fIVERB\\fR [arguments]\n.br\n\\fBleeward\\fR \\fIVERB\\fR \\fB\\-\\-help\\fR\n.SH DESCRIPTION\n{}\n.PP\n"
                                 "{}\n", version, roff(app.get_description()),
                                 roff("Inputs are FILE or FILE#LAYER. -o OUT writes by the ending, beside its place and renamed in; without it CSV goes to standard output. "
                                      "Messages and progress go to standard error. Nothing is sent anywhere."));
  std::string group;
  for (const auto& verb : verbNotes(app)) {
    if (verb.group != group) page += ".SH " + roff(upperAscii(verb.group)) + "\n";
    group = verb.group;
    page += roffVerb(verb);
  }
  page += ".SH EXIT STATUS\n.TP\n0\nDone; refused rows are counted and listed.\n.TP\n2\nThe call is wrong.\n.TP\n3\nAn input can't be used, or with \\fB\\-\\-strict\\fR a row was refused.\n"
          ".TP\n4\nCould not finish: the disk, a limit, a fault of the program.\n.TP\n130\nStopped.\n"
          ".SH ENVIRONMENT\n.TP\n\\fBLEEWARD_TODAY\\fR\nThe day to take for today, YYYY\\-MM\\-DD: for replays.\n";
  return page;
}

}  // namespace leeward::command

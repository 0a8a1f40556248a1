#include <memory>
#include <string>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/sheets/template.h"

namespace leeward::command {

void addTemplate(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("template", "An empty log for a crew to type into, which take-in reads without questions");
  struct Request {
    std::string kind = "visits", language = "en";
    bool example = false;
  };
  auto request = std::make_shared<Request>();
  verb->add_option("KIND", request->kind, "visits, sightings or stock")->required()->check(CLI::IsMember({"visits", "sightings", "stock"}));
  verb->add_option("--language", request->language, "Of headings and choices: en or es")->check(CLI::IsMember({"en", "es"}))->capture_default_str();
  verb->add_flag("--example", request->example, "With one invented row, to be deleted");
  addOutput(*verb, terminal, {".xlsx", ".csv"})->required();
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    sheets::TemplateRequest made{*importers::parseKind(request->kind), request->language == "es" ? importers::Language::Spanish : importers::Language::English, request->example, terminal.output};
    auto written = sheets::writeTemplate(made, progress);
    if (!written) return terminal.fail(written.problem());
    terminal.say("Written: " + terminal.output + (request->kind == "visits"   ? ". A row an animal; rows with one number of the visit are one visit; days as 2025-03-04."
                                                  : request->kind == "stock" ? ". A row a thing that came in, went out, was put on a van or counted; what is given at doors stands in the log of visits."
                                                                             : ". A row a sighting; days as 2025-03-04."));
    if (terminal.json) terminal.print("{\"output\":" + jsonText(terminal.output) + "}\n");
  });
}

}  // namespace leeward::command

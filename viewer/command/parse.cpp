#include <memory>

#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/files/parse_addresses.h"

namespace leeward::command {

void addParse(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("parse", "Split addresses into their elements (FGDC-STD-016-2011)");
  auto request = std::make_shared<study::ParseRequest>();
  verb->add_option("TEXT", request->texts, "Addresses");
  auto* file = verb->add_option("--file", request->file, "A table with addresses");
  auto* column = verb->add_option("--column", request->column, "Its column");
  file->needs(column);
  addOutput(*verb, terminal, kLayerEndings);
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    if (request->texts.empty() == request->file.empty()) {
      return terminal.fail({ProblemCode::InvalidArgument, "give either addresses or a file", "parse", "e.g. leeward parse \"12 Oak St Apt 4\", or --file LOG --column ADDRESS"});
    }
    auto progress = terminal.progress();
    auto parsed = study::parseAddresses(*request, progress);
    if (!parsed) return terminal.fail(parsed.problem());
    terminal.deliver(*parsed);
  });
}

}  // namespace leeward::command

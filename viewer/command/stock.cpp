#include <memory>
#include <string>

#include <fmt/format.h>

#include "shared/base/text.h"
#include "viewer/command/terminal.h"
#include "viewer/command/verbs.h"
#include "viewer/study/what_is_in_stock.h"

namespace leeward::command {
namespace {

void sayStock(const study::StockOutcome& stock, Terminal& terminal) {
  terminal.say(fmt::format("Stock as of {}; to bring: what is due up to {}. Of a product: one for each animal that is due, not a dose.", toWords(stock.as_of), toWords(stock.until)));
  for (std::size_t row = 0; row < stock.items.rows(); ++row) {
    const double lacking = stock.items.find("short")->asReal(row).value_or(0);
    if (lacking > 0) terminal.say(fmt::format("SHORT: {} {}", formatNumber(lacking), stock.items.find("item")->asText(row)));
  }
  for (const auto& remark : stock.remarks) terminal.say("Note: " + remark);
  bool is_known = false;
  for (std::size_t row = 0; row < stock.items.rows(); ++row) is_known = is_known || !stock.items.find("in_store")->isMissing(row);
  if (!is_known) terminal.say("No stock is written down yet: leeward template stock -o stock.xlsx, then leeward take-in DIR stock stock.xlsx");
}

}  // namespace

void addStock(CLI::App& app, Terminal& terminal) {
  auto* verb = app.add_subcommand("stock", "What the store and the vans hold, what is due to be brought, and what each crew has to load");
  struct Request {
    study::DueRequest due;
    std::string by = "item";
  };
  auto request = std::make_shared<Request>();
  verb->add_option("DIR", request->due.run.folder, "Folder of the study")->required();
  addDay(*verb, "--until", request->due.until, "Last day of what is to be brought (without it: a week ahead)");
  addDay(*verb, "--as-of", request->due.run.as_of, "Stock at the end of this day, instead of the study file's");
  verb->add_option("--by", request->by, "A row an item, or a row a crew and item: what to load")->check(CLI::IsMember({"item", "crew"}))->capture_default_str();
  addOutput(*verb, terminal, kTableEndings);
  addCommonOptions(*verb, terminal);
  verb->callback([request, &terminal] {
    auto progress = terminal.progress();
    auto stock = study::whatIsInStock(request->due, progress);
    if (!stock) return terminal.fail(stock.problem());
    sayStock(*stock, terminal);
    Layer layer;
    layer.name = "stock";
    layer.table = request->by == "crew" ? std::move(stock->loads) : std::move(stock->items);
    terminal.deliver(layer, {.owner_only = true, .refused = {}, .members = fmt::format("\"as_of\":\"{}\",\"until\":\"{}\"", toIso(stock->as_of), toIso(stock->until))});
  });
}

}  // namespace leeward::command

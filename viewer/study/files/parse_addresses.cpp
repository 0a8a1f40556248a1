#include "viewer/study/files/parse_addresses.h"

#include <utility>

#include "analysis/place/parse.h"
#include "viewer/study/files/input.h"

namespace leeward::study {

Result<Layer> parseAddresses(const ParseRequest& request, Progress& progress) {
  Layer layer;
  std::vector<std::string> lines = request.texts;
  if (!request.file.empty()) {
    LEEWARD_ASSIGN(read, readInput({.source = request.file, .x_column = "", .y_column = "", .crs = ""}, progress));
    layer = std::move(read);
    LEEWARD_ASSIGN(column, needColumn(layer.table, request.column, request.file, "--column"));
    lines.clear();
    for (std::size_t row = 0; row < column->size(); ++row) lines.push_back(column->asText(row));
  } else {
    layer.table.add(Column::text("address", lines));
  }
  std::vector<analysis::ParsedAddress> parsed(lines.size());
  LEEWARD_TRY(progress.parallelFor(lines.size(), 256, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) parsed[i] = analysis::parseAddress(lines[i]);
  }));
  Table added;
  for (std::size_t label = 0; label < analysis::kAddressLabels; ++label) {
    const auto which = static_cast<analysis::AddressLabel>(label);
    Column column(analysis::labelName(which), Column::Kind::Text);
    for (const auto& address : parsed) {
      const std::string text = analysis::element(address, which);
      if (text.empty()) column.addMissing();
      else column.addText(text);
    }
    added.add(std::move(column));
  }
  std::vector<std::string> standard;
  for (const auto& address : parsed) standard.push_back(analysis::standardLine(address));
  added.add(Column::text("standard", standard));
  addColumns(layer, added);
  return layer;
}

}  // namespace leeward::study

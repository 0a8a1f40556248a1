#include "viewer/command/neighbour_options.h"

#include <CLI/CLI.hpp>

#include "viewer/command/terminal.h"
#include "viewer/study/files/neighbour_lists.h"

namespace leeward::command {
namespace {

/// A wrong kind ends the call before anything is read.
CLI::Validator kindOfNeighbours() {
  return {[](std::string& text) {
            const auto kind = study::neighbourKind(text);
            return kind ? std::string() : kind.problem().text();
          },
          ""};
}

}  // namespace

void addNeighbours(CLI::App& verb, study::NeighboursRequest& neighbours) {
  verb.add_option("--neighbours", neighbours.kind,
                  "Who is next to whom: queen (areas that touch), rook (along a length), nearest:K or within:METRES (between middles), edges:FILE (a CSV: from, to, perhaps weight)")
      ->type_name("KIND")->check(kindOfNeighbours())->capture_default_str();
  verb.add_option("--id", neighbours.id, "Column that the edges name (without it: row numbers from 1)")->type_name("COLUMN");
  verb.add_option("--gap", neighbours.gap_m, "Borders so close count as touching, metres")->type_name("M")->check(numberFrom(0, 1000))->capture_default_str();
}

}  // namespace leeward::command

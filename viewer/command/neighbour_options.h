#pragma once
/// Options of the verbs that ask who is next to whom.
namespace CLI {
class App;
}

namespace leeward::study {
struct NeighboursRequest;
}

namespace leeward::command {

/// --neighbours, --id, --gap.
void addNeighbours(CLI::App& verb, study::NeighboursRequest& neighbours);

}  // namespace leeward::command

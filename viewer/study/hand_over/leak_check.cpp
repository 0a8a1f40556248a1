#include "viewer/study/hand_over/leak_check.h"

#include <algorithm>

#include <fmt/format.h>

namespace leeward::study {
namespace {

std::string placeOf(const Piece& piece, const analysis::Leak& leak) {
  std::string part = piece.part;
  while (part.ends_with(", ")) part.resize(part.size() - 2);
  const std::string at = leak.line > 0 && piece.bytes.empty() ? fmt::format("line {}", leak.line) : fmt::format("byte {}", leak.at + 1);
  return part.empty() ? at : part + ", " + at;
}

void add(LeakReport& report, FoundLeak leak) {
  const bool known = std::ranges::any_of(report.leaks, [&](const FoundLeak& one) { return one.file == leak.file && one.where == leak.where && one.what == leak.what; });
  if (!known) report.leaks.push_back(std::move(leak));
}

}  // namespace

Result<LeakReport> checkForLeaks(const std::vector<std::filesystem::path>& files, const analysis::PrivateFacts& facts, const ReadPdf& read_pdf, Progress& progress) {
  const analysis::LeakFinder finder(facts);
  LeakReport report;
  for (std::size_t i = 0; i < files.size(); ++i) {
    LEEWARD_TRY(progress.checkStop());
    progress.report(static_cast<double>(i) / static_cast<double>(files.size()), "Looking through " + files[i].filename().string());
    const std::string name = files[i].filename().string();
    LEEWARD_ASSIGN(pieces, piecesOf(files[i], read_pdf));
    std::uint64_t single = 0;
    for (const auto& piece : pieces) {
      analysis::LeakCount found;
      if (!piece.text.empty()) finder.readText(piece.text, found);
      if (!piece.bytes.empty()) finder.readNumbers(piece.bytes, found);
      for (const auto& leak : found.leaks) add(report, {name, placeOf(piece, leak), leakWords(leak.kind)});
      for (const Point position : piece.lon_lat) {
        if (finder.isNearHome(position)) add(report, {name, piece.part, leakWords(analysis::LeakKind::Position)});
      }
      if (!piece.fault.empty()) add(report, {name, piece.part, piece.fault});
      // Tags and bytes are full of words that nobody reads.
      if (piece.bytes.empty() && piece.text.find("<?xml") == std::string::npos) single = std::max(single, found.single_names);
    }
    if (single > 0) report.warnings.push_back(fmt::format("{}: {} {} also the name of a dog or a family on record; look whether that says anything", name, single, single == 1 ? "word is" : "words are"));
  }
  return report;
}

}  // namespace leeward::study

#include "viewer/sheets/pdf_pieces.h"

#include <memory>

#include <fmt/format.h>
#include <poppler/cpp/poppler-document.h>
#include <poppler/cpp/poppler-embedded-file.h>
#include <poppler/cpp/poppler-global.h>
#include <poppler/cpp/poppler-page.h>
#include <poppler/cpp/poppler-toc.h>

#include "shared/base/files.h"
#include "viewer/sheets/pdf_marks.h"

namespace leeward::sheets {
namespace {

std::string utf8(const poppler::ustring& text) {
  const auto bytes = text.to_utf8();
  return {bytes.begin(), bytes.end()};
}

void addOutline(const poppler::toc_item& item, std::string& text) {
  text += utf8(item.title()) + "\n";
  for (const auto* child : item.children()) addOutline(*child, text);
}

study::Piece words(std::string part, std::string text) { return {.part = std::move(part), .text = std::move(text), .bytes = {}, .lon_lat = {}, .fault = {}}; }

/// From the map's frame to longitude and latitude; plane metres stay.
Result<study::Piece> markPiece(const std::string& bytes, const MapOnPage& map) {
  study::Piece piece = words("a mark drawn on the map", "");
  for (const QPointF mark : marksOnPages(bytes)) {
    if (map.view.frame.contains(mark)) piece.lon_lat.push_back(map.view.toWorld(mark));
  }
  if (map.frame.isLocal() || piece.lon_lat.empty()) return piece;
  LEEWARD_ASSIGN(to_degrees, Transform::between(map.frame, Crs::wgs84()));
  to_degrees.apply(piece.lon_lat);
  return piece;
}

}  // namespace

Result<std::vector<study::Piece>> pdfPiecesOfMap(const std::filesystem::path& file, const MapOnPage& map) {
  LEEWARD_ASSIGN(pieces, pdfPieces(file));
  LEEWARD_ASSIGN(bytes, readFile(file));
  LEEWARD_ASSIGN(marks, markPiece(bytes, map));
  pieces.push_back(std::move(marks));
  return pieces;
}

Result<std::vector<study::Piece>> pdfPieces(const std::filesystem::path& file) {
  poppler::set_debug_error_function([](const std::string&, void*) {}, nullptr);
  const std::unique_ptr<poppler::document> document(poppler::document::load_from_file(file.string()));
  if (document == nullptr || document->is_locked()) return Problem{ProblemCode::BadData, "this PDF can't be looked through", file.string(), "Save it without a password"};
  std::vector<study::Piece> pieces;
  for (int number = 0; number < document->pages(); ++number) {
    const std::unique_ptr<poppler::page> page(document->create_page(number));
    if (page == nullptr) continue;
    const std::string part = fmt::format("page {}", number + 1);
    pieces.push_back(words(part, utf8(page->text(poppler::rectf(), poppler::page::physical_layout))));
    pieces.push_back(words(part, utf8(page->text(poppler::rectf(), poppler::page::raw_order_layout))));
  }
  std::string properties;
  for (const auto& key : document->info_keys()) properties += utf8(document->info_key(key)) + "\n";
  pieces.push_back(words("properties", properties + utf8(document->metadata())));
  if (const std::unique_ptr<poppler::toc> outline(document->create_toc()); outline != nullptr && outline->root() != nullptr) {
    std::string text;
    addOutline(*outline->root(), text);
    pieces.push_back(words("outline", text));
  }
  for (const auto* attached : document->embedded_files()) {
    const auto bytes = attached->data();
    for (auto& piece : study::piecesOfBytes(std::string(bytes.begin(), bytes.end()), "attachment, ")) pieces.push_back(std::move(piece));
  }
  return pieces;
}

}  // namespace leeward::sheets

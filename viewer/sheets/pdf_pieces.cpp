#include "viewer/sheets/pdf_pieces.h"

#include <memory>

#include <fmt/format.h>
#include <poppler/cpp/poppler-document.h>
#include <poppler/cpp/poppler-embedded-file.h>
#include <poppler/cpp/poppler-global.h>
#include <poppler/cpp/poppler-page.h>
#include <poppler/cpp/poppler-toc.h>

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

}  // namespace

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

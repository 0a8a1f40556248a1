#pragma once
/// The characters of a text file in pieces, whatever its encoding. For shared/table/*.cpp only.
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <optional>
#include <string>
#include <string_view>

namespace leeward {

/// Gives a file as pieces of UTF-8 that end between characters: UTF-8 or UTF-16 with or without a mark, or Windows-1252 if asked.
class CsvText {
 public:
  static constexpr std::size_t kPieceBytes = 1U << 20U;

  CsvText(const std::filesystem::path& file, bool as_windows_1252);

  /// Reads the next piece into text(); false at the end of the file.
  bool next();

  const std::string& text() const { return text_; }
  bool notUtf8() const { return not_utf8_; }  ///< some piece so far was neither UTF-8 nor marked as anything else
  bool failed() const { return in_.bad(); }
  std::uint64_t bytes() const { return bytes_; }  ///< of the file, read so far
  bool first() const { return bytes_ <= kPieceBytes; }

 private:
  enum class Encoding { Utf8, Utf16Little, Utf16Big, Windows1252 };

  std::optional<Encoding> unmarkedUtf16();
  std::size_t decodeUtf16(std::string_view bytes, bool last);

  std::ifstream in_;
  Encoding encoding_ = Encoding::Utf8;
  std::string raw_;
  std::string text_;
  std::size_t kept_ = 0;
  std::uint64_t bytes_ = 0;
  bool not_utf8_ = false;
};

}  // namespace leeward

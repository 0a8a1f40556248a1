#include "shared/layer/column_cache.h"

#include <bit>
#include <cstring>
#include <fstream>
#include <sstream>

#include "shared/base/files.h"
#include "shared/base/seal.h"

namespace leeward {
namespace {

// The file: a header, then a body of arrays, each as its count and its raw values.
//   "LWCOLUMN" | version u32 | key length u32 | body length u64 | checksum of key and body u64 | key | body
static_assert(std::endian::native == std::endian::little, "the cache is written as it lies in memory");
constexpr std::string_view kMagic = "LWCOLUMN";
constexpr std::uint32_t kVersion = 1;
constexpr std::size_t kHeaderBytes = 8 + 4 + 4 + 8 + 8;
constexpr std::uint32_t kLongestKey = 4096;

/// Against damage, not against ill will: FNV-1a over words of eight bytes, each mixed.
std::uint64_t checksum(std::string_view bytes, std::uint64_t sum = 0xCBF29CE484222325ULL) {
  const auto step = [&sum](std::uint64_t word) {
    sum = (sum ^ word) * 0x100000001B3ULL;
    sum ^= sum >> 32U;
  };
  std::size_t at = 0;
  for (; at + 8 <= bytes.size(); at += 8) {
    std::uint64_t word = 0;
    std::memcpy(&word, bytes.data() + at, 8);
    step(word);
  }
  for (; at < bytes.size(); ++at) step(static_cast<unsigned char>(bytes[at]));
  return sum;
}

class Writer {
 public:
  template <class T>
  void number(T value) {
    bytes_.append(reinterpret_cast<const char*>(&value), sizeof value);
  }
  template <class T>
  void array(const std::vector<T>& values) {
    number<std::uint64_t>(values.size());
    bytes_.append(reinterpret_cast<const char*>(values.data()), values.size() * sizeof(T));
  }
  void text(std::string_view text) {
    number<std::uint64_t>(text.size());
    bytes_ += text;
  }
  const std::string& bytes() const { return bytes_; }

 private:
  std::string bytes_;
};

/// Reads what Writer wrote; once anything does not fit, everything after is empty and failed() says so.
class Reader {
 public:
  explicit Reader(std::string_view bytes) : bytes_(bytes) {}
  template <class T>
  T number() {
    T value{};
    if (const auto raw = take(sizeof value, 1); raw.size() == sizeof value) std::memcpy(&value, raw.data(), sizeof value);
    return value;
  }
  template <class T>
  std::vector<T> array() {
    const auto raw = take(number<std::uint64_t>(), sizeof(T));
    std::vector<T> values(raw.size() / sizeof(T));
    if (!raw.empty()) std::memcpy(values.data(), raw.data(), raw.size());
    return values;
  }
  std::string_view text() { return take(number<std::uint64_t>(), 1); }
  bool failed() const { return failed_; }
  void fail() { failed_ = true; }
  bool atEnd() const { return bytes_.empty() && !failed_; }

 private:
  std::string_view take(std::uint64_t count, std::size_t size) {
    if (failed_ || count > bytes_.size() / size) {
      failed_ = true;
      return {};
    }
    const auto taken = bytes_.substr(0, count * size);
    bytes_.remove_prefix(count * size);
    return taken;
  }

  std::string_view bytes_;
  bool failed_ = false;
};

void writeColumn(Writer& out, const Column& column) {
  const std::size_t rows = column.size();
  out.text(column.name());
  out.number(static_cast<std::uint8_t>(column.kind()));
  std::vector<std::uint8_t> present(rows);
  for (std::size_t row = 0; row < rows; ++row) present[row] = column.isMissing(row) ? 0 : 1;
  out.array(present);
  if (column.kind() == Column::Kind::Text) {
    std::vector<std::uint32_t> lengths(rows);
    std::string texts;
    for (std::size_t row = 0; row < rows; ++row) {
      lengths[row] = static_cast<std::uint32_t>(column.textAt(row).size());
      texts += column.textAt(row);
    }
    out.array(lengths);
    out.text(texts);
  } else if (column.kind() == Column::Kind::Integer) {
    std::vector<std::int64_t> values(rows);
    for (std::size_t row = 0; row < rows; ++row) values[row] = column.asInteger(row).value_or(0);
    out.array(values);
  } else {
    std::vector<double> values(rows);
    for (std::size_t row = 0; row < rows; ++row) values[row] = column.asReal(row).value_or(0);
    out.array(values);
  }
}

/// Where each text ends, from their lengths; fails if they are not `bytes` long together.
std::vector<std::uint64_t> endsOf(Reader& in, const std::vector<std::uint32_t>& lengths, const std::vector<std::uint8_t>& present,
                                  std::size_t bytes) {
  std::vector<std::uint64_t> ends(lengths.size());
  std::uint64_t end = 0;
  for (std::size_t row = 0; row < lengths.size(); ++row) {
    if (present[row] == 0 && lengths[row] != 0) in.fail();
    ends[row] = end += lengths[row];
  }
  if (end != bytes) in.fail();
  return ends;
}

/// Fails and gives any column where the parts don't fit.
Column readColumn(Reader& in) {
  std::string name(in.text());
  const auto kind = in.number<std::uint8_t>();
  if (kind > static_cast<std::uint8_t>(Column::Kind::Real)) in.fail();
  auto present = in.array<std::uint8_t>();
  const auto fits = [&](std::size_t size) {
    if (size != present.size()) in.fail();
    return !in.failed();
  };
  if (static_cast<Column::Kind>(kind) == Column::Kind::Integer) {
    auto values = in.array<std::int64_t>();
    if (fits(values.size())) return {std::move(name), std::move(values), std::move(present)};
  } else if (static_cast<Column::Kind>(kind) == Column::Kind::Real) {
    auto values = in.array<double>();
    if (fits(values.size())) return {std::move(name), std::move(values), std::move(present)};
  } else {
    const auto lengths = in.array<std::uint32_t>();
    const std::string_view texts = in.text();
    if (fits(lengths.size())) {
      auto ends = endsOf(in, lengths, present, texts.size());
      if (!in.failed()) return {std::move(name), std::string(texts), std::move(ends), std::move(present)};
    }
  }
  return {std::move(name), Column::Kind::Text};
}

void writeGeometry(Writer& out, const Geometries& geometry) {
  std::vector<std::uint8_t> kinds, holes;
  std::vector<std::uint32_t> paths, vertices;
  for (std::size_t row = 0; row < geometry.size(); ++row) {
    kinds.push_back(static_cast<std::uint8_t>(geometry.kind(row)));
    paths.push_back(static_cast<std::uint32_t>(geometry.paths(row)));
    for (std::size_t i = 0; i < geometry.paths(row); ++i) {
      holes.push_back(geometry.isHole(row, i) ? 1 : 0);
      vertices.push_back(static_cast<std::uint32_t>(geometry.path(row, i).size()));
    }
  }
  out.array(kinds);
  out.array(paths);
  out.array(holes);
  out.array(vertices);
  out.array(std::vector<Point>(geometry.vertices().begin(), geometry.vertices().end()));
}

Geometries readGeometry(Reader& in) {
  auto kinds = in.array<GeometryKind>();
  const auto paths = in.array<std::uint32_t>();
  auto holes = in.array<std::uint8_t>();
  const auto vertices = in.array<std::uint32_t>();
  auto made = Geometries::fromArrays(std::move(kinds), paths, std::move(holes), vertices, in.array<Point>());
  if (!made) in.fail();
  return made ? *std::move(made) : Geometries();
}

std::string bodyOf(const Layer& layer) {
  Writer out;
  out.text(layer.name);
  out.text(layer.crs.definition());
  out.number<std::uint64_t>(layer.remarks.size());
  for (const auto& remark : layer.remarks) out.text(remark);
  out.array(layer.table.lines);
  out.number<std::uint64_t>(layer.table.rows());
  out.number<std::uint64_t>(layer.table.width());
  for (const auto& column : layer.table.columns()) writeColumn(out, column);
  writeGeometry(out, layer.geometry);
  return out.bytes();
}

std::optional<Layer> layerOf(std::string_view body) {
  Reader in(body);
  Layer layer;
  layer.name = in.text();
  const std::string crs(in.text());
  for (auto left = in.number<std::uint64_t>(); left > 0 && !in.failed(); --left) layer.remarks.emplace_back(in.text());
  layer.table.lines = in.array<std::uint64_t>();
  const auto rows = in.number<std::uint64_t>();
  layer.table.setRows(rows);
  for (auto left = in.number<std::uint64_t>(); left > 0 && !in.failed(); --left) {
    Column column = readColumn(in);
    if (column.size() != rows) in.fail();
    if (!in.failed()) layer.table.add(std::move(column));
  }
  layer.geometry = readGeometry(in);
  if (!in.atEnd() || (!layer.geometry.empty() && layer.geometry.size() != rows)) return std::nullopt;
  if (!layer.table.lines.empty() && layer.table.lines.size() != rows) return std::nullopt;
  if (!crs.empty()) {
    auto parsed = Crs::parse(crs);
    if (!parsed) return std::nullopt;
    layer.crs = *parsed;
  }
  return layer;
}

struct Header {
  std::string key;
  std::uint64_t body_bytes = 0;
  std::uint64_t sum = 0;
};

std::optional<Header> readHeader(std::istream& in) {
  std::string raw(kHeaderBytes, '\0');
  if (!in.read(raw.data(), static_cast<std::streamsize>(raw.size())) || !raw.starts_with(kMagic)) return std::nullopt;
  Reader reader(std::string_view(raw).substr(kMagic.size()));
  const auto version = reader.number<std::uint32_t>();
  const auto key_bytes = reader.number<std::uint32_t>();
  Header header;
  header.body_bytes = reader.number<std::uint64_t>();
  header.sum = reader.number<std::uint64_t>();
  if (version != kVersion || key_bytes > kLongestKey) return std::nullopt;
  header.key.resize(key_bytes);
  if (!in.read(header.key.data(), key_bytes)) return std::nullopt;
  return header;
}

std::optional<Layer> readFrom(std::istream& in, std::uintmax_t bytes, const std::string& key) {
  const auto header = readHeader(in);
  if (!header || header->key != key || bytes != kHeaderBytes + key.size() + header->body_bytes) return std::nullopt;
  std::string body(header->body_bytes, '\0');
  if (!in.read(body.data(), static_cast<std::streamsize>(body.size())) || checksum(body, checksum(key)) != header->sum) return std::nullopt;
  return layerOf(body);
}

std::optional<std::string> openedFile(const std::filesystem::path& file, const std::filesystem::path& sealed_beside) {
  auto content = readFile(file);
  return content ? openWhole(*std::move(content), sealed_beside) : std::nullopt;
}

}  // namespace

std::optional<Layer> readCached(const std::filesystem::path& file, const std::string& key, const std::filesystem::path& sealed_beside) {
  if (isSealed(sealed_beside)) {
    const auto whole = openedFile(file, sealed_beside);
    std::istringstream in(whole.value_or(""));
    return whole ? readFrom(in, whole->size(), key) : std::nullopt;
  }
  std::ifstream in(file, std::ios::binary);
  std::error_code error;
  const auto bytes = std::filesystem::file_size(file, error);
  return error ? std::nullopt : readFrom(in, bytes, key);
}

Result<void> writeCached(const Layer& layer, const std::filesystem::path& file, const std::string& key, const std::filesystem::path& sealed_beside) {
  const std::string body = bodyOf(layer);
  Writer header;
  header.number(kVersion);
  header.number(static_cast<std::uint32_t>(key.size()));
  header.number<std::uint64_t>(body.size());
  header.number(checksum(body, checksum(key)));
  std::string whole(kMagic);
  whole.reserve(kHeaderBytes + key.size() + body.size());
  whole.append(header.bytes()).append(key).append(body);
  return writeFile(file, isSealed(sealed_beside) ? sealWhole(whole, sealed_beside) : whole, true);
}

std::optional<std::string> cachedKey(const std::filesystem::path& file, const std::filesystem::path& sealed_beside) {
  std::ifstream plain(file, std::ios::binary);
  std::istringstream opened;
  const bool sealed = isSealed(sealed_beside);
  if (sealed) opened.str(openedFile(file, sealed_beside).value_or(""));
  auto header = readHeader(sealed ? static_cast<std::istream&>(opened) : plain);
  if (!header) return std::nullopt;
  return std::move(header->key);
}

}  // namespace leeward

#include "viewer/study/refused_list.h"

#include <array>
#include <cerrno>
#include <cstring>
#include <fstream>
#include <iterator>

#include "shared/base/files.h"
#include "shared/table/csv.h"

namespace leeward::study {
namespace {

constexpr std::size_t kMostHeld = 100'000;

Problem noRoom(const std::string& file) {
  return {ProblemCode::Io, std::string("the list of refused rows can't be written: ") + std::strerror(errno), file, "Make room on the disk and take the file in again; nothing was taken in"};
}

}  // namespace

Table refusedTable(const std::vector<RefusedRow>& rows) {
  Column line("line", Column::Kind::Integer), column("column", Column::Kind::Text), value("value", Column::Kind::Text), reason("reason", Column::Kind::Text),
      whole("row", Column::Kind::Text);
  for (const auto& row : rows) {
    line.addInteger(static_cast<std::int64_t>(row.line));
    column.addText(row.column), value.addText(row.value), reason.addText(row.reason), whole.addText(row.row);
  }
  Table table;
  for (Column* one : {&line, &column, &value, &reason, &whole}) table.add(std::move(*one));
  return table;
}

Result<void> RefusedList::add(std::vector<RefusedRow> rows) {
  const std::size_t fits = std::min(rows.size(), kMostHeld - held_.size());
  const auto middle = rows.begin() + static_cast<std::ptrdiff_t>(fits);
  held_.insert(held_.end(), std::make_move_iterator(rows.begin()), std::make_move_iterator(middle));
  rows.erase(rows.begin(), middle);
  if (rows.empty()) return {};
  if (!spool_) spool_.reset(std::tmpfile());
  if (!spool_) return noRoom("temporary folder");
  const std::string text = toCsv(refusedTable(rows));
  const std::string_view lines = std::string_view(text).substr(text.find('\n') + 1);
  if (std::fwrite(lines.data(), 1, lines.size(), spool_.get()) != lines.size()) return noRoom("temporary folder");
  beyond_ += rows.size();
  return {};
}

Result<void> RefusedList::write(const std::filesystem::path& file, RowReport& report) {
  if (!file.empty()) LEEWARD_TRY(writeBeside(
      file,
      [&](const std::filesystem::path& temporary) -> Result<void> {
        std::ofstream out(temporary, std::ios::binary);
        out << toCsv(refusedTable(held_));
        if (spool_) {
          std::rewind(spool_.get());
          std::array<char, 1U << 16U> part{};
          while (const std::size_t got = std::fread(part.data(), 1, part.size(), spool_.get())) out.write(part.data(), static_cast<std::streamsize>(got));
        }
        out.close();
        return out ? Result<void>() : noRoom(file.string());
      },
      true));
  report.refused = std::move(held_);
  report.refused_beyond = beyond_;
  return {};
}

}  // namespace leeward::study

#include "importers/photos.h"

#include <algorithm>
#include <filesystem>
#include <unordered_set>

#include "importers/crew_rows.h"
#include "shared/base/text.h"
#include "shared/layer/layer.h"

namespace leeward::importers {
namespace {

namespace fs = std::filesystem;

struct Photo {
  fs::path file;
  std::string name;  ///< within the folder
  std::string sha256, date, time, why;
  std::uintmax_t bytes = 0;
  std::optional<Point> lon_lat;
};

bool isHidden(const fs::path& file) { return file.filename().string().starts_with('.'); }

/// Ordinary files of a folder and below, by name; a single file is its own list.
Result<std::vector<Photo>> photosIn(const fs::path& source) {
  std::vector<Photo> photos;
  std::error_code error;
  if (fs::is_regular_file(source, error)) return std::vector<Photo>{{.file = source, .name = source.filename().string()}};
  if (!fs::is_directory(source, error)) return Problem{ProblemCode::NotFound, "there is no such file or folder", source.string(), "Check the name and the folder"};
  for (auto entry = fs::recursive_directory_iterator(source, error); !error && entry != fs::recursive_directory_iterator(); entry.increment(error)) {
    if (isHidden(entry->path())) {
      if (entry->is_directory(error)) entry.disable_recursion_pending();
      continue;
    }
    if (entry->is_regular_file(error)) photos.push_back({.file = entry->path(), .name = entry->path().lexically_relative(source).generic_string()});
  }
  if (error) return Problem{ProblemCode::Io, "the folder can't be read", source.string(), "Check its permissions"};
  if (photos.empty()) return Problem{ProblemCode::BadData, "There are no pictures in the folder", source.string(), "Name the folder that the pictures lie in"};
  std::ranges::sort(photos, {}, &Photo::name);
  return photos;
}

/// Reads one picture; `why` says what is wrong with it.
void lookAtPhoto(Photo& photo, const StudyFrame& frame) {
  std::error_code error;
  photo.bytes = fs::file_size(photo.file, error);
  const auto hash = sha256OfFile(photo.file);
  const auto picture = readPicture(photo.file);
  if (!hash || !picture) {
    const Problem& problem = hash ? picture.problem() : hash.problem();
    photo.why = problem.what + (problem.mend.empty() ? "" : "; " + lowerAscii(problem.mend.substr(0, 1)) + problem.mend.substr(1));
    return;
  }
  photo.sha256 = *hash;
  if (!picture->taken.empty()) {
    auto when = readDate(picture->taken, {});
    if (when.value) photo.why = dateFault(when.value->date, frame);
    if (!photo.why.empty()) photo.why = "by the camera's clock, " + photo.why;
    if (when.value) photo.date = toIso(when.value->date), photo.time = when.value->time;
  }
  if (!photo.why.empty() || !picture->lon_lat || frame.is_local) return;
  const Position position = readPosition(formatNumber(picture->lon_lat->x), formatNumber(picture->lon_lat->y), frame);
  photo.lon_lat = position.lon_lat;
  photo.why = position.why;
}

Table photosTable(const std::vector<Photo>& photos, const std::vector<std::size_t>& chosen, const fs::path& folder) {
  constexpr auto kWords = Column::Kind::Text;
  TableWriter writer({{"id", kWords}, {"source_key", kWords}, {"content_hash", kWords}, {"date", kWords}, {"time", kWords}, {"file_name", kWords},
                      {"folder", kWords}, {"bytes", Column::Kind::Integer}, {"lon", Column::Kind::Real}, {"lat", Column::Kind::Real}});
  for (const std::size_t i : chosen) {
    const Photo& photo = photos[i];
    writer.id(newUuid()).id(photo.sha256).id(photo.sha256).text(photo.date).text(photo.time).text(photo.name).text(folder.string());
    writer.integer(static_cast<std::int64_t>(photo.bytes));
    writer.real(photo.lon_lat ? std::optional(photo.lon_lat->x) : std::nullopt).real(photo.lon_lat ? std::optional(photo.lon_lat->y) : std::nullopt);
  }
  return writer.take();
}

/// Rows to write, and what is to be said of them.
std::vector<std::size_t> choosePhotos(const std::vector<Photo>& photos, RowReport& report) {
  std::vector<std::size_t> chosen;
  std::unordered_set<std::string_view> seen;
  std::size_t timeless = 0, placeless = 0, repeats = 0;
  for (std::size_t i = 0; i < photos.size(); ++i) {
    const Photo& photo = photos[i];
    if (!photo.why.empty()) {
      report.refused.push_back({i + 1, "file", photo.name, photo.why, photo.name, photo.sha256});
    } else if (!seen.insert(photo.sha256).second) {
      ++repeats;
    } else {
      chosen.push_back(i);
      timeless += photo.date.empty() ? 1 : 0;
      placeless += photo.lon_lat ? 0 : 1;
    }
  }
  report.kept = chosen.size() + repeats;
  const auto say = [&](std::size_t count, std::string_view what) {
    if (count > 0) report.remarks.push_back(fmt::format("{} {} {}", formatCount(static_cast<std::int64_t>(count)), count == 1 ? "picture" : "pictures", what));
  };
  say(timeless, "without a time; kept with the time unknown");
  say(placeless, "without a position; kept with the position unknown");
  say(repeats, "that are copies of another were left out");
  return chosen;
}

}  // namespace

Result<CrewImport> importPhotos(const std::string& source, const StudyFrame& frame, Progress& progress) {
  progress.report(0, "Reading photos");
  const fs::path given = fs::absolute(source).lexically_normal();
  const fs::path path = given.filename().empty() ? given.parent_path() : given;
  LEEWARD_ASSIGN(photos, photosIn(path));
  constexpr std::size_t kBatch = 4;
  LEEWARD_TRY(progress.parallelFor(photos.size(), kBatch, [&](std::size_t begin, std::size_t end) {
    for (std::size_t i = begin; i < end; ++i) lookAtPhoto(photos[i], frame);
  }));
  CrewImport import;
  ImportBatch& batch = import.batch;
  batch.kind = "photos";
  batch.file_name = path.filename().string();
  batch.report.file = batch.file_name;
  batch.report.read = photos.size();
  Sha256 all;
  for (const Photo& photo : photos) all.addField(photo.name).addField(photo.sha256);
  batch.sha256 = photos.size() == 1 && !photos.front().sha256.empty() ? photos.front().sha256 : all.hex();
  const auto chosen = choosePhotos(photos, batch.report);
  if (chosen.empty()) {
    return Problem{ProblemCode::BadData, fmt::format("None of the {} files can be used; the first: {}", photos.size(), batch.report.refused.front().reason), photos.front().file.string(),
                   "Give JPEG pictures of this study, or the folder that they lie in"};
  }
  std::error_code error;
  batch.rows.emplace(Entity::Photos, photosTable(photos, chosen, fs::is_directory(path, error) ? path : path.parent_path()));
  progress.report(1);
  return import;
}

}  // namespace leeward::importers

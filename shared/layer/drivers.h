#pragma once
/// GDAL as the files of this folder use it: few drivers, no network, messages kept instead of printed.
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "shared/base/result.h"
#include "shared/geo/crs.h"

class GDALDataset;
class OGRSpatialReference;

namespace leeward::gdal {

/// What a file is, by its content first and its name second.
enum class Format { Csv, Xlsx, Ods, GeoPackage, GeoJson, GeoJsonLines, Shapefile, FlatGeobuf, Gpx, Kml, FileGdb, GeoTiff, AsciiGrid, Jpeg };

/// FILE or FILE#LAYER as it was typed.
struct Source {
  std::filesystem::path file;  ///< a folder only for a file geodatabase (.gdb)
  std::string layer;           ///< "" if none was named
};
/// NotFound; InvalidArgument for addresses on a network and virtual file systems; BadData for folders and empty files.
Result<Source> sourceOf(const std::string& text);

/// What was recognised, and how GDAL opens it.
struct Found {
  Format format = Format::Csv;
  std::string path;                  ///< the file, or "/vsizip/{FILE}/..." for what lies packed in it
  std::vector<std::string> members;  ///< layers of an archive of several files; `path` is then that of the one that was named, or ""
};
/// Looks into the file, and into an archive's directory: nothing is unpacked, limits are checked (archive.h).
/// Unsupported for what is not on the list, BadData where content and name contradict each other, ResourceExhausted.
Result<Found> recognise(const Source& source);
/// CSV and other plain text: by its name, or text of another name with a separator in its first line.
bool isText(const std::filesystem::path& file);
const char* nameOf(Format format);  ///< for people
/// The driver's own name; null for CSV, which GDAL never sees.
const char* driverOf(Format format);
inline bool isWorkbook(Format format) { return format == Format::Xlsx || format == Format::Ods; }
inline bool isRaster(Format format) { return format == Format::GeoTiff || format == Format::AsciiGrid || format == Format::Jpeg; }

/// Keeps this thread's messages while it lives; the first failure is what a person gets to see.
class Messages {
 public:
  Messages();
  ~Messages();
  Messages(const Messages&) = delete;
  Messages& operator=(const Messages&) = delete;
  bool failed() const { return !first_.empty(); }
  const std::string& first() const { return first_; }

 private:
  std::string first_;
};

/// Files that were copied to memory to be opened; they go with the last holder.
struct MemoryCopy {
  MemoryCopy() = default;
  ~MemoryCopy();
  MemoryCopy(const MemoryCopy&) = delete;
  MemoryCopy& operator=(const MemoryCopy&) = delete;
  std::string folder, path;
};

struct Close {
  std::shared_ptr<MemoryCopy> copy{};
  void operator()(GDALDataset* dataset) const;
};
using Dataset = std::unique_ptr<GDALDataset, Close>;

/// Registers the drivers of the list, once; every function here that needs them calls it.
void prepare();
/// Opens with the one driver that belongs to the format, read-only; nothing is written beside the file. A shapefile without its
/// .shx is indexed in memory. BadData with GDAL's first message.
Result<Dataset> open(const std::filesystem::path& file, const Found& found);

/// Unknown for null, for systems without a place and for those that PROJ does not know.
Crs crsOf(const OGRSpatialReference* reference);
/// Null for an unknown system.
std::unique_ptr<OGRSpatialReference, void (*)(OGRSpatialReference*)> referenceOf(const Crs& crs);

}  // namespace leeward::gdal

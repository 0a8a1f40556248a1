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
enum class Format { Csv, Xlsx, GeoPackage, GeoJson, Shapefile, FlatGeobuf, GeoTiff, AsciiGrid };

/// FILE or FILE#LAYER as it was typed.
struct Source {
  std::filesystem::path file;
  std::string layer;  ///< "" if none was named
};
/// NotFound; InvalidArgument for addresses on a network and virtual file systems; BadData for folders and empty files.
Result<Source> sourceOf(const std::string& text);
/// Unsupported for what is not on the list, BadData where content and name contradict each other.
Result<Format> formatOf(const std::filesystem::path& file);
const char* nameOf(Format format);  ///< for people
/// The driver's own name; null for CSV, which GDAL never sees.
const char* driverOf(Format format);

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

struct Close {
  void operator()(GDALDataset* dataset) const;
};
using Dataset = std::unique_ptr<GDALDataset, Close>;

/// Registers the drivers of the list, once; every function here that needs them calls it.
void prepare();
/// Opens with the one driver that belongs to the format, read-only. BadData with GDAL's first message.
Result<Dataset> open(const std::filesystem::path& file, Format format);

/// Unknown for null, for systems without a place and for those that PROJ does not know.
Crs crsOf(const OGRSpatialReference* reference);
/// Null for an unknown system.
std::unique_ptr<OGRSpatialReference, void (*)(OGRSpatialReference*)> referenceOf(const Crs& crs);

}  // namespace leeward::gdal

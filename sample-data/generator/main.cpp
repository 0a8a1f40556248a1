// make_town FOLDER [PICTURE.svg]: writes the invented town, the same bytes every time.
#include <cstdio>
#include <filesystem>
#include <string>

#include "sample-data/generator/make_town.h"
#include "shared/base/files.h"
#include "shared/layer/layer.h"

int main(int count, char** words) {
  using namespace leeward;
  if (count < 2 || count > 3) {
    std::fputs("make_town FOLDER [PICTURE.svg]\n", stderr);
    return 2;
  }
  const std::filesystem::path folder = words[1];
  town::Sample sample = town::makeSample(town::kSeed);
  std::error_code ignored;
  std::filesystem::create_directories(folder / "truth", ignored);
  const auto write = [&]() -> Result<void> {
    for (const auto& [name, text] : sample.files) LEEWARD_TRY(writeFile(folder / name, text));
    LEEWARD_ASSIGN(frame, Crs::parse(town::kHeatCrs));
    sample.heat.crs = frame;
    Progress silent;
    LEEWARD_TRY(writeRaster(sample.heat, folder / "heat.tif", silent));
    if (count == 3) LEEWARD_TRY(writeFile(words[2], sample.picture));
    return {};
  };
  if (const auto written = write(); !written) {
    std::fprintf(stderr, "%s\n", written.problem().text().c_str());
    return exitStatus(written.problem().code);
  }
  std::printf("%zu files in %s\n", sample.files.size(), folder.string().c_str());
  return 0;
}

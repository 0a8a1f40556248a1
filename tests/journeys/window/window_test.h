#pragma once
/// A window on the sample town, as tests drive it.
#include <QLabel>
#include <QTest>
#include <filesystem>
#include <memory>
#include <optional>

#include <gtest/gtest.h>

#include "shared/base/files.h"
#include "tests/support/data.h"
#include "viewer/study/sample_town.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/row_list.h"
#include "viewer/window/workbench.h"

namespace leeward::test {

using window::MapCanvas;
using window::Workbench;

class WindowTest : public testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = std::make_unique<TemporaryFolder>();
    Progress progress;
    ASSERT_OK(study::makeSampleStudy(sourceFolder() / "sample-data" / "town", study(), progress));
  }
  static void TearDownTestSuite() { folder_.reset(); }
  static std::filesystem::path study() { return folder_->path() / "study"; }

  void SetUp() override {
    window_.show();
    window_.openStudy(study());
    ASSERT_TRUE(QTest::qWaitFor([&] { return window_.hasStudy(); }, 120000));
    ASSERT_TRUE(settled() && !map().size().isEmpty());
  }
  bool settled() { return QTest::qWaitFor([&] { return window_.isSettled(); }, 60000); }
  MapCanvas& map() { return *window_.findChild<MapCanvas*>("map"); }
  QWidget& page() { return *window_.findChild<QWidget*>(window_.question()); }
  window::RowList& list() { return *page().findChild<window::RowList*>("rows"); }
  QString text(const char* label) {
    const auto* in_page = page().findChild<QLabel*>(label);
    return (in_page != nullptr ? in_page : window_.findChild<QLabel*>(label))->text();
  }
  const study::Snapshot& findings() { return window_.room().findings(); }
  std::optional<std::size_t> selected() { return window_.room().block(); }
  std::string blockId(std::size_t row) { return findings()->blocks.table.find("block_id")->asText(row); }

  Workbench window_;

 private:
  static inline std::unique_ptr<TemporaryFolder> folder_;
};

}  // namespace leeward::test

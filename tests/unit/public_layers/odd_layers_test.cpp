// Layers with broken shapes or in the wrong place, and heat as areas.
#include "importers/public_layer.h"
#include "tests/support/data.h"
#include "tests/unit/importers/files.h"

namespace leeward::importers {
namespace {

using test::Folder;
using test::refusedAt;
using test::remarks;

const Bbox kFairford{-84.65, 39.35, -84.55, 39.45};

class OddLayersTest : public ::testing::Test {
 protected:
  static std::string feature(const std::string& id, const std::string& geometry) {
    return R"({"type":"Feature","properties":{"id":")" + id + R"("},"geometry":)" + geometry + "}";
  }
  static std::string area(const std::string& rings) { return R"({"type":"Polygon","coordinates":[)" + rings + "]}"; }
  Result<PublicLayer> take(Kind kind, const std::string& name, const std::string& content, const Bbox& study = {}, bool is_local = false,
                           const Overrides& overrides = {}, const std::string& crs = {}) {
    Progress progress;
    return importPublic(kind, {.source = folder_.file(name, content), .crs = crs}, overrides, {study, is_local, ""}, progress);
  }
  Result<PublicLayer> areas(const std::vector<std::string>& features, const Bbox& study = {}, bool is_local = false) {
    std::string all;
    for (const auto& one : features) all += (all.empty() ? "" : ",") + one;
    return take(Kind::Areas, "areas.geojson", R"({"type":"FeatureCollection","features":[)" + all + "]}", study, is_local);
  }
  Folder folder_;
};

TEST_F(OddLayersTest, EachKindOfRepairIsCountedWithItsFirstLines) {
  const auto layer = areas({feature("sound", area("[[0,0],[1,0],[1,1],[0,1],[0,0]]")), feature("bow", area("[[2,0],[3,1],[3,0],[2,1],[2,0]]")),
                            feature("open", area("[[4,0],[5,0],[5,1],[4,1]]")), feature("clockwise", area("[[6,0],[6,1],[7,1],[7,0],[6,0]]")),
                            feature("spike", area("[[8,0],[9,0],[9,0.5],[9.5,0.5],[9,0.5],[9,1],[8,1],[8,0]]")),
                            feature("twice", area("[[10,0],[11,0],[11,0],[11,1],[10,1],[10,0]]")), feature("high", area("[[12,0,5],[13,0,5],[13,1,5],[12,1,5],[12,0,5]]")),
                            feature("over", area("[[12.5,0],[13.5,0],[13.5,1],[12.5,1],[12.5,0]]")), feature("nothing", "null"),
                            feature("line", area("[[15,0],[16,0],[15,0]]")), feature("empty", R"({"type":"Polygon","coordinates":[]})"),
                            feature("parts", R"({"type":"MultiPolygon","coordinates":[[[[20,0],[21,0],[21,1],[20,0]]],[[[22,0],[23,0],[23,1],[22,0]]]]})")});
  ASSERT_OK(layer);
  EXPECT_EQ(layer->report.read, 12U);
  EXPECT_EQ(layer->layer.rows(), 9U);
  EXPECT_TRUE(remarks(layer->report, "1 area was repaired: the outline crosses itself (line 3)"));
  EXPECT_TRUE(remarks(layer->report, "had a ring that was not closed; it was closed (line 4)"));
  EXPECT_TRUE(remarks(layer->report, "had rings that ran the wrong way round; they were turned"));
  EXPECT_TRUE(remarks(layer->report, "a spike"));
  EXPECT_TRUE(remarks(layer->report, "a corner stands twice (line 7)"));
  EXPECT_TRUE(remarks(layer->report, "heights or measures, which were dropped (line 8)"));
  EXPECT_TRUE(remarks(layer->report, "of several parts; each row stays one area (line 13)"));
  EXPECT_TRUE(remarks(layer->report, "1 pair of areas overlap (lines 8 and 9 by 50 % of the smaller); nothing was changed"));
  ASSERT_EQ(layer->report.refused.size(), 3U);
  EXPECT_NE(refusedAt(layer->report, 10).reason.find("no area"), std::string::npos) << "a row without geometry";
  EXPECT_NE(refusedAt(layer->report, 11).reason.find("nothing is left"), std::string::npos) << "a line there and back";
  EXPECT_NE(refusedAt(layer->report, 12).reason.find("no area"), std::string::npos);
}

TEST_F(OddLayersTest, AreasWithLatitudeFirstAreTurnedWhereTheStudyShowsIt) {
  const auto layer = areas({feature("a", area("[[39.4,-84.6],[39.41,-84.6],[39.41,-84.59],[39.4,-84.59],[39.4,-84.6]]"))}, kFairford);
  ASSERT_OK(layer);
  EXPECT_NEAR(layer->layer.geometry.bbox(0).min_x, -84.6, 1e-12);
  EXPECT_EQ(layer->map.setting("axes"), "swapped");
  EXPECT_EQ(layer->crs, "EPSG:4326");
  EXPECT_TRUE(remarks(layer->report, "latitude first"));
}

TEST_F(OddLayersTest, AddressPointsInUnlabelledFeetAreUsedAndSaid) {
  // EPSG:2229 of -118.2437, 34.0522: pyproj 3.4.1.
  const Bbox study{-118.3, 34.0, -118.2, 34.1};
  const auto feet = take(Kind::Premises, "p.csv", "address,x,y\n1 Elm St,6487847.00,1841468.25\n", study);
  ASSERT_OK(feet);
  EXPECT_EQ(feet->crs, "EPSG:2229");
  EXPECT_TRUE(remarks(feet->report, "US survey foot") || remarks(feet->report, "ftUS"));
  const auto exchanged = take(Kind::Premises, "q.csv", "address,lon,lat\n1 Elm St,34.0522,-118.2437\n", study);
  ASSERT_OK(exchanged);
  EXPECT_NEAR(exchanged->layer.geometry.point(0).x, -118.2437, 1e-12);
  const auto unheaded = take(Kind::Premises, "r.csv", "address,x,y\n1 Elm St,-118.2437,34.0522\n", study);
  ASSERT_OK(unheaded);
  EXPECT_EQ(unheaded->layer.crs, Crs::wgs84());
  EXPECT_TRUE(remarks(unheaded->report, "inside the study's area"));
}

TEST_F(OddLayersTest, ALocalStudyTakesPlaneMetresAndNoPlaceOnEarth) {
  const auto layer = areas({feature("a", area("[[0,0],[100,0],[100,80],[0,80],[0,0]]"))}, {}, true);
  ASSERT_OK(layer);
  EXPECT_TRUE(layer->layer.crs.isLocal());
  const auto points = take(Kind::Premises, "p.csv", "address,x,y\n1 Elm St,12.5,40\n", {}, true);
  ASSERT_OK(points);
  EXPECT_TRUE(points->layer.crs.isLocal());
  EXPECT_EQ(points->layer.geometry.point(0), (Point{12.5, 40}));
}

TEST_F(OddLayersTest, AreasAcrossThe180thMeridianStayTogether) {
  const auto layer = areas({feature("west", area("[[179.9,-17],[180,-17],[180,-16.9],[179.9,-16.9],[179.9,-17]]")),
                            feature("east", area("[[-180,-17],[-179.9,-17],[-179.9,-16.9],[-180,-16.9],[-180,-17]]")),
                            feature("both", area("[[179.95,-16.9],[-179.95,-16.9],[-179.95,-16.8],[179.95,-16.8],[179.95,-16.9]]"))});
  ASSERT_OK(layer);
  EXPECT_NEAR(layer->layer.geometry.bbox().width(), 0.2, 1e-9);
  EXPECT_NEAR(layer->layer.geometry.bbox(2).width(), 0.1, 1e-9);
  EXPECT_FALSE(remarks(layer->report, "overlap"));
}

TEST_F(OddLayersTest, HeatAsAreasCarriesItsValueUnitAndKind) {
  const auto square = [](double x, const std::string& value) {
    return fmt::format(R"~({{"type":"Feature","properties":{{"Mean LST (C)":{}}},"geometry":{{"type":"Polygon","coordinates":[[[{},0],[{},0],[{},1],[{},1],[{},0]]]}}}})~", value, x,
                       x + 1, x + 1, x, x);
  };
  const auto heat = take(Kind::Heat, "surface_temp.geojson", R"({"type":"FeatureCollection","features":[)" + square(0, "31.5") + "," + square(1, "null") + "," + square(2, "36") + "]}");
  ASSERT_OK(heat);
  ASSERT_EQ(heat->layer.rows(), 2U);
  EXPECT_EQ(heat->layer.table.find("value")->asReal(1), 36);
  EXPECT_EQ(heat->unit, "C");
  EXPECT_EQ(heat->heat_kind, "land surface");
  EXPECT_NE(refusedAt(heat->report, 3).reason.find("blank"), std::string::npos);
  const auto unknown = take(Kind::Heat, "x.geojson", R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"zzz":1},"geometry":)" + area("[[0,0],[1,0],[1,1],[0,0]]") + "}]}");
  ASSERT_FALSE(unknown.ok());
  EXPECT_NE(unknown.problem().mend.find("--map value="), std::string::npos);
}

}  // namespace
}  // namespace leeward::importers

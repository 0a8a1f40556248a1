#include "shared/base/missing.h"
#include "shared/geo/crs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>

#include <fmt/format.h>
#include <geodesic.h>
#include <proj.h>
#include <proj_experimental.h>  // proj_crs_demote_to_2D, proj_crs_alter_cs_linear_unit

#include "shared/base/text.h"
#include "shared/geo/longitudes.h"

namespace leeward {
namespace {

constexpr double kRadians = 0.017453292519943295;
constexpr double kScaleTolerance = 0.001;

struct ContextDelete {
  void operator()(PJ_CONTEXT* context) const { proj_context_destroy(context); }
};
struct PjDelete {
  void operator()(PJ* pj) const { proj_destroy(pj); }
};
using Context = std::unique_ptr<PJ_CONTEXT, ContextDelete>;
using Pj = std::unique_ptr<PJ, PjDelete>;

Context newContext() {
  Context context(proj_context_create());
  proj_context_set_enable_network(context.get(), 0);
  proj_log_level(context.get(), PJ_LOG_NONE);
  return context;
}

PJ_CONTEXT* threadContext() {
  static thread_local const Context kContext = newContext();
  return kContext.get();
}

std::string textOf(const char* text) { return text == nullptr ? std::string() : std::string(text); }

/// "EPSG:26986" of an object that says so itself, or "".
std::string ownCode(const PJ* crs) {
  const std::string authority = textOf(proj_get_id_auth_name(crs, 0));
  return authority.empty() ? "" : authority + ":" + textOf(proj_get_id_code(crs, 0));
}

/// Whether a text can be a definition at all: the library would also search its registry for names.
bool looksLikeDefinition(const std::string& text) {
  if (text.find("proj=pipeline") != std::string::npos || text.find("init=") != std::string::npos) return false;
  if (text.starts_with("+") || text.find('[') != std::string::npos || text.starts_with("{") || text.starts_with("urn:")) return true;
  const std::size_t colon = text.find(':');
  return colon != std::string::npos && colon > 0 && std::ranges::all_of(text.substr(0, colon), [](char c) { return c >= 'A' && c <= 'Z'; }) &&
         text.find_first_not_of("0123456789+", colon + 1) == std::string::npos;
}

/// The horizontal part of compound, bound and three-dimensional systems.
Pj horizontal(PJ_CONTEXT* context, Pj crs) {
  if (proj_get_type(crs.get()) == PJ_TYPE_BOUND_CRS) crs.reset(proj_get_source_crs(context, crs.get()));
  if (crs && proj_get_type(crs.get()) == PJ_TYPE_COMPOUND_CRS) crs.reset(proj_crs_get_sub_crs(context, crs.get(), 0));
  if (crs && proj_get_type(crs.get()) == PJ_TYPE_BOUND_CRS) crs.reset(proj_get_source_crs(context, crs.get()));
  if (crs && proj_get_type(crs.get()) == PJ_TYPE_GEOGRAPHIC_3D_CRS) crs.reset(proj_crs_demote_to_2D(context, nullptr, crs.get()));
  return crs;
}

/// Longitude and latitude on the datum of `crs` to `crs`, axes in our order.
Pj fromItsDatum(PJ_CONTEXT* context, const PJ* crs) {
  const Pj datum(proj_crs_get_geodetic_crs(context, crs));
  const Pj raw(datum ? proj_create_crs_to_crs_from_pj(context, datum.get(), crs, nullptr, nullptr) : nullptr);
  return Pj(raw ? proj_normalize_for_visualization(context, raw.get()) : nullptr);
}

bool haveOneDatum(PJ_CONTEXT* context, const PJ* a, const PJ* b) {
  const Pj datum_a(proj_crs_get_geodetic_crs(context, a));
  const Pj datum_b(proj_crs_get_geodetic_crs(context, b));
  return proj_is_equivalent_to_with_ctx(context, datum_a.get(), datum_b.get(), PJ_COMP_EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS) != 0;
}

/// The middle of where a system is used, longitude and latitude; nothing if that is not known.
std::optional<Point> middleOfUse(PJ_CONTEXT* context, const PJ* crs) {
  double west = 0;
  double south = 0;
  double east = 0;
  double north = 0;
  if (proj_get_area_of_use(context, crs, &west, &south, &east, &north, nullptr) == 0 || west < -180 || east < west) return std::nullopt;
  return Point{(west + east) / 2, (south + north) / 2};
}

/// Same datum, and the same coordinates to a hundredth of a unit around the middle of where `known` is used.
bool agreeInPractice(PJ_CONTEXT* context, const PJ* crs, const PJ* known) {
  const auto middle = middleOfUse(context, known);
  if (!middle || proj_get_type(crs) != proj_get_type(known) || !haveOneDatum(context, crs, known)) return false;
  const Pj a = fromItsDatum(context, crs);
  const Pj b = fromItsDatum(context, known);
  if (!a || !b) return false;
  for (const double shift : {0.0, 0.4, -0.3}) {
    const PJ_COORD at = proj_coord(middle->x + shift, middle->y + shift / 2, 0, 0);
    const PJ_COORD in_a = proj_trans(a.get(), PJ_FWD, at);
    const PJ_COORD in_b = proj_trans(b.get(), PJ_FWD, at);
    if (!(std::hypot(in_a.xy.x - in_b.xy.x, in_a.xy.y - in_b.xy.y) < 0.01)) return false;
  }
  return true;
}

/// The EPSG code of a projected system that is the same as one in the registry though it does not say so, or "".
/// Files often name a system without its code, and write its parameters rounded or in another order.
std::string recognisedCode(PJ_CONTEXT* context, const PJ* crs) {
  int* confidence = nullptr;
  PJ_OBJ_LIST* found = proj_identify(context, crs, "EPSG", nullptr, &confidence);
  std::string code;
  for (int i = 0; found != nullptr && code.empty() && i < std::min(proj_list_get_count(found), 5); ++i) {
    const Pj known(proj_list_get(context, found, i));
    if (known && (confidence[i] >= 90 || agreeInPractice(context, crs, known.get()))) code = ownCode(known.get());
  }
  proj_int_list_destroy(confidence);
  proj_list_destroy(found);
  return code;
}

/// Metres in one unit of the first axis.
double axisUnit(PJ_CONTEXT* context, const PJ* crs) {
  const Pj system(proj_crs_get_coordinate_system(context, crs));
  double factor = 0;
  if (!system || proj_cs_get_axis_info(context, system.get(), 0, nullptr, nullptr, nullptr, &factor, nullptr, nullptr, nullptr) == 0) {
    return 0;
  }
  return factor;
}

Pj created(PJ_CONTEXT* context, const std::string& definition) { return Pj(proj_create(context, definition.c_str())); }

Problem notKnown(const std::string& text) {
  return {ProblemCode::BadData, fmt::format("\"{}\" is not a coordinate reference system", text.substr(0, 80)), "",
          "Give a code such as EPSG:26986, or \"local\" for plane metres without a place"};
}

bool isMercatorOfTheSphere(PJ_CONTEXT* context, const PJ* crs) {
  const Pj conversion(proj_crs_get_coordoperation(context, crs));
  const char* method = nullptr;
  if (!conversion || proj_coordoperation_get_method_info(context, conversion.get(), &method, nullptr, nullptr) == 0) return false;
  const std::string name = lowerAscii(textOf(method));
  return name.find("pseudo-mercator") != std::string::npos || name.find("pseudo mercator") != std::string::npos ||
         name == "mercator (spherical)";
}

/// Whether an operation moves between datums by less than a grid would do: by nothing at all, by
/// constants whose stated accuracy is over a metre, or by a guess.
bool isRoughShift(PJ_CONTEXT* context, PJ* operation) {
  if (operation == nullptr) return false;
  if (proj_coordoperation_has_ballpark_transformation(context, operation) != 0) return true;
  const double accuracy = proj_coordoperation_get_accuracy(context, operation);  // -1: not stated
  return proj_coordoperation_get_grid_used_count(context, operation) == 0 && (accuracy < 0 || accuracy > 1);
}

}  // namespace

Result<Crs> Crs::parse(const std::string& text) {
  const std::string wanted(trim(text));
  if (wanted.empty()) return notKnown(wanted);
  if (lowerAscii(wanted) == "local") return local();
  PJ_CONTEXT* context = threadContext();
  std::string source = wanted;
  if (wanted.starts_with("+") && wanted.find("type=crs") == std::string::npos) source += " +type=crs";
  if (lowerAscii(wanted).starts_with("epsg:")) source = upperAscii(wanted);
  if (!looksLikeDefinition(source)) return notKnown(wanted);
  Pj made = created(context, source);
  if (!made || proj_is_crs(made.get()) == 0) return notKnown(wanted);
  if (proj_get_type(made.get()) == PJ_TYPE_ENGINEERING_CRS && textOf(proj_get_name(made.get())) == local().name()) return local();
  const Pj crs = horizontal(context, std::move(made));
  if (!crs) return notKnown(wanted);
  const PJ_TYPE type = proj_get_type(crs.get());
  Crs result;
  result.geographic_ = type == PJ_TYPE_GEOGRAPHIC_2D_CRS;
  if (!result.geographic_ && type != PJ_TYPE_PROJECTED_CRS) {
    return Problem{ProblemCode::Unsupported, fmt::format("\"{}\" is neither longitude and latitude nor a map projection", wanted.substr(0, 80)),
                   "", "Convert the data to EPSG:4326 or to a projected system"};
  }
  result.authority_ = ownCode(crs.get());
  if (result.authority_.empty() && !source.starts_with("+")) result.authority_ = recognisedCode(context, crs.get());
  const std::string name = textOf(proj_get_name(crs.get()));
  if (!result.authority_.empty()) {
    result.definition_ = result.authority_;
    result.name_ = fmt::format("{} ({})", name, result.authority_);
  } else {
    static constexpr std::array<const char*, 2> kOneLine = {"MULTILINE=NO", nullptr};
    const bool is_proj = source.starts_with("+");
    result.definition_ = is_proj ? source : textOf(proj_as_wkt(context, crs.get(), PJ_WKT2_2019, kOneLine.data()));
    result.name_ = is_proj && (name.empty() || name == "unknown") ? wanted : name;
  }
  result.metres_per_unit_ = result.geographic_ ? 0 : axisUnit(context, crs.get());
  return result;
}

Crs Crs::wgs84() {
  static const Crs kWgs84 = *parse("EPSG:4326");
  return kWgs84;
}

Crs Crs::local() {
  Crs crs;
  crs.definition_ = "local";
  crs.name_ = "local plane, metres";
  crs.metres_per_unit_ = 1;
  return crs;
}

Crs Crs::equalAreaAt(Point lon_lat) {
  const double lon = std::round(plainLongitude(lon_lat.x) * 10) / 10 + 0.0;  // + 0.0: no "-0"
  const double lat = std::round(lon_lat.y * 10) / 10 + 0.0;
  Crs crs;
  crs.definition_ = fmt::format("+proj=laea +lat_0={:.1f} +lon_0={:.1f} +datum=WGS84 +units=m +no_defs +type=crs", lat, lon);
  crs.name_ = fmt::format("Lambert azimuthal equal-area around {:.1f}\u00B0 {}, {:.1f}\u00B0 {}", std::abs(lat), lat < 0 ? "S" : "N",
                          std::abs(lon), lon < 0 ? "W" : "E");
  crs.metres_per_unit_ = 1;
  return crs;
}

bool Crs::isTrueToScaleAt(Point lon_lat) const {
  if (isLocal()) return true;
  if (isUnknown() || geographic_) return false;
  PJ_CONTEXT* context = threadContext();
  Pj crs = created(context, definition_);
  if (crs && metres_per_unit_ != 1) {  // the factors below are right for metres only
    crs.reset(proj_crs_alter_cs_linear_unit(context, crs.get(), "metre", 1, nullptr, nullptr));
  }
  if (!crs || isMercatorOfTheSphere(context, crs.get())) return false;
  const PJ_FACTORS factors = proj_factors(crs.get(), proj_coord(lon_lat.x * kRadians, lon_lat.y * kRadians, 0, 0));
  if (proj_errno(crs.get()) != 0) return false;
  const auto near_one = [](double scale) { return std::abs(scale - 1) <= kScaleTolerance; };
  return near_one(factors.meridional_scale) && near_one(factors.parallel_scale) && near_one(factors.areal_scale);
}

Bbox Crs::areaOfUse() const {
  Bbox box;
  if (isUnknown() || isLocal()) return box;
  PJ_CONTEXT* context = threadContext();
  const Pj crs = created(context, definition_);
  double west = 0, south = 0, east = 0, north = 0;
  if (!crs || proj_get_area_of_use(context, crs.get(), &west, &south, &east, &north, nullptr) == 0 || west < -180) return box;
  box.add(Point{west, south});
  box.add(Point{east < west ? east + 360 : east, north});
  return box;
}

struct Transform::Handle {
  Context context;  // before pj: destroyed after it
  Pj pj;            // null: both systems are the same
  bool datums_differ = false;
  bool rough = false;

  void noteOperation() {
    if (!datums_differ || rough) return;
    const Pj used(proj_trans_get_last_used_operation(pj.get()));
    rough = isRoughShift(context.get(), used.get());
  }
};

Transform::Transform(std::unique_ptr<Handle> handle) : handle_(std::move(handle)) {}
Transform::Transform(Transform&&) noexcept = default;
Transform& Transform::operator=(Transform&&) noexcept = default;
Transform::~Transform() = default;

Result<Transform> Transform::between(const Crs& from, const Crs& to) {
  auto handle = std::make_unique<Handle>();
  if (from.isUnknown() || to.isUnknown()) {
    return Problem{ProblemCode::CrsMismatch, "the coordinate reference system is not known", "", "Name it, for example EPSG:4326"};
  }
  if (from == to) return Transform(std::move(handle));
  if (from.isLocal() || to.isLocal()) {
    return Problem{ProblemCode::CrsMismatch, fmt::format("there is no way from \"{}\" to \"{}\"", from.name(), to.name()), "",
                   "Local metres have no place on the earth; give all inputs the same system"};
  }
  handle->context = newContext();
  PJ_CONTEXT* context = handle->context.get();
  const Pj source = created(context, from.definition());
  const Pj target = created(context, to.definition());
  if (source && target) {
    const Pj raw(proj_create_crs_to_crs_from_pj(context, source.get(), target.get(), nullptr, nullptr));
    if (raw) handle->pj.reset(proj_normalize_for_visualization(context, raw.get()));
  }
  if (!handle->pj) {
    return Problem{ProblemCode::CrsMismatch, fmt::format("there is no way from \"{}\" to \"{}\"", from.name(), to.name()), "",
                   "Convert one of them to EPSG:4326"};
  }
  handle->datums_differ = !haveOneDatum(context, source.get(), target.get());
  if (handle->datums_differ) {  // which way will be taken is known only after a point has gone it
    auto middle = middleOfUse(context, from.isGeographic() ? target.get() : source.get());
    if (!middle) middle = middleOfUse(context, source.get());
    PJ_COORD at = proj_coord(middle ? middle->x : 0, middle ? middle->y : 0, 0, 0);
    if (const Pj forth = from.isGeographic() ? nullptr : fromItsDatum(context, source.get())) at = proj_trans(forth.get(), PJ_FWD, at);
    proj_trans(handle->pj.get(), PJ_FWD, at);
    handle->noteOperation();
  }
  return Transform(std::move(handle));
}

std::size_t Transform::apply(std::span<Point> points) const {
  if (points.empty()) return 0;
  std::size_t lost = 0;
  if (handle_->pj) {
    proj_trans_generic(handle_->pj.get(), PJ_FWD, &points.front().x, sizeof(Point), points.size(), &points.front().y, sizeof(Point),
                       points.size(), nullptr, 0, 0, nullptr, 0, 0);
    handle_->noteOperation();
  }
  for (Point& p : points) {
    if (std::isfinite(p.x) && std::isfinite(p.y)) continue;
    p = {kNan, kNan};
    ++lost;
  }
  return lost;
}

Point Transform::operator()(Point p) const {
  apply({&p, 1});
  return p;
}

double Transform::addedUncertaintyM() const { return handle_->rough ? 2 : 0; }

double geodesicDistanceM(Point from, Point to) {
  static const geod_geodesic kEllipsoid = [] {
    geod_geodesic ellipsoid;
    geod_init(&ellipsoid, 6378137, 1 / 298.257223563);
    return ellipsoid;
  }();
  double distance_m = 0;
  geod_inverse(&kEllipsoid, from.y, from.x, to.y, to.x, &distance_m, nullptr, nullptr);
  return distance_m;
}

}  // namespace leeward

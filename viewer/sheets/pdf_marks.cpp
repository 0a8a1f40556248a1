#include "viewer/sheets/pdf_marks.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

#include <QRectF>
#include <QTransform>

#include "shared/layer/unpack.h"

namespace leeward::sheets {
namespace {

constexpr double kLargestMark_pt = 12;
constexpr double kRoundest = 1.6;  ///< at most so many times as wide as high, or the other way round

/// One run of a path in page points.
struct Shape {
  std::vector<QPointF> points;
  bool is_closed = false;
};

class ContentReader {
 public:
  ContentReader(double page_height, std::vector<QPointF>& marks) : height_(page_height), marks_(marks) {}

  void read(std::string_view content) {
    std::size_t at = 0;
    while (at < content.size()) {
      const char c = content[at];
      if (c == '(' || c == '<') {  // texts: their letters are glyph numbers
        at = content.find(c == '(' ? ')' : '>', at);
        if (at == std::string_view::npos) return;
        ++at;
        continue;
      }
      const std::size_t end = std::min(content.find_first_of(" \n\r\t[]()<>", at), content.size());
      if (end == at) {
        ++at;
        continue;
      }
      word(content.substr(at, end - at));
      at = end;
    }
  }

 private:
  void word(std::string_view word) {
    double value = 0;
    const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
    if (error == std::errc() && end == word.data() + word.size()) {
      numbers_.push_back(value);
      return;
    }
    run(word);
    numbers_.clear();
  }

  bool has(std::size_t count) const { return numbers_.size() >= count; }
  /// The pair that begins so many numbers before the last.
  QPointF pair(std::size_t before_end) const {
    const std::size_t at = numbers_.size() - before_end;
    return place_.map(QPointF(numbers_[at], numbers_[at + 1]));
  }

  void run(std::string_view op) {
    if (op == "q") kept_.push_back(place_);
    else if (op == "Q" && !kept_.empty()) place_ = kept_.back(), kept_.pop_back();
    else if (op == "cm" && has(6)) matrix();
    else if (op == "m" && has(2)) shapes_.push_back({{pair(2)}, false});
    else if (op == "l" && has(2)) add({pair(2)});
    else if (op == "c" && has(6)) add({pair(6), pair(4), pair(2)});
    else if ((op == "v" || op == "y") && has(4)) add({pair(4), pair(2)});
    else if (op == "re" && has(4)) rectangle();
    else if (op == "h" && !shapes_.empty()) shapes_.back().is_closed = true;
    else if (op == "f" || op == "F" || op == "f*" || op == "B" || op == "B*" || op == "b" || op == "b*") painted(true);
    else if (op == "s") painted(true);
    else if (op == "S") painted(false);
    else if (op == "n") shapes_.clear();
  }

  void matrix() {
    const double* n = numbers_.data() + numbers_.size() - 6;
    place_ = QTransform(n[0], n[1], n[2], n[3], n[4], n[5]) * place_;
  }

  void rectangle() {
    const double* n = numbers_.data() + numbers_.size() - 4;
    Shape shape;
    shape.is_closed = true;
    for (const QPointF corner : {QPointF(n[0], n[1]), QPointF(n[0] + n[2], n[1]), QPointF(n[0] + n[2], n[1] + n[3]), QPointF(n[0], n[1] + n[3])}) shape.points.push_back(place_.map(corner));
    shapes_.push_back(std::move(shape));
  }

  void add(std::initializer_list<QPointF> points) {
    if (!shapes_.empty()) shapes_.back().points.insert(shapes_.back().points.end(), points);
  }

  static QRectF boxOf(const Shape& shape) {
    double left = shape.points.front().x(), right = left, low = shape.points.front().y(), high = low;
    for (const QPointF p : shape.points) left = std::min(left, p.x()), right = std::max(right, p.x()), low = std::min(low, p.y()), high = std::max(high, p.y());
    return {left, low, right - left, high - low};
  }
  static bool isRound(const QRectF& box) { return box.width() > 0 && box.height() > 0 && box.width() <= kRoundest * box.height() && box.height() <= kRoundest * box.width(); }

  /// The outlines of a word, painted at once: letters of many corners, and some that are much higher than wide. Round letters and the dots of an i
  /// are no marks.
  bool isWriting() const {
    constexpr std::size_t kLetters = 3, kCorners = 24;
    return shapes_.size() >= kLetters && std::ranges::any_of(shapes_, [](const Shape& shape) { return shape.points.size() > kCorners; }) &&
           std::ranges::any_of(shapes_, [](const Shape& shape) { return !isRound(boxOf(shape)); });
  }

  void painted(bool fills) {
    if (isWriting()) shapes_.clear();
    for (const Shape& shape : shapes_) {
      const bool ends_at_start = shape.points.size() > 3 && std::hypot(shape.points.front().x() - shape.points.back().x(), shape.points.front().y() - shape.points.back().y()) < 0.05;
      if (!fills && !shape.is_closed && !ends_at_start) continue;
      const QRectF box = boxOf(shape);
      if (std::max(box.width(), box.height()) > kLargestMark_pt || !isRound(box)) continue;
      marks_.emplace_back(box.center().x(), height_ - box.center().y());
    }
    shapes_.clear();
  }

  double height_;
  std::vector<QPointF>& marks_;
  QTransform place_;
  std::vector<QTransform> kept_;
  std::vector<double> numbers_;
  std::vector<Shape> shapes_;
};

/// The fourth number behind /MediaBox: how high the pages are; 0 if the file doesn't say.
double heightOf(std::string_view pdf) {
  const std::size_t box = pdf.find("/MediaBox");
  if (box == std::string_view::npos) return 0;
  const std::size_t from = pdf.find('[', box), to = pdf.find(']', box);
  if (from == std::string_view::npos || to == std::string_view::npos || to < from) return 0;
  std::string_view numbers = pdf.substr(from + 1, to - from - 1);
  while (!numbers.empty() && (numbers.back() == ' ' || numbers.back() == '\n')) numbers.remove_suffix(1);
  const std::string last(numbers.substr(numbers.find_last_of(' ') + 1));
  return std::strtod(last.c_str(), nullptr);
}

}  // namespace

std::vector<QPointF> marksOnPages(std::string_view pdf) {
  std::vector<QPointF> marks;
  const double height = heightOf(pdf);
  for (std::size_t at = pdf.find("stream"); at != std::string_view::npos; at = pdf.find("stream", at + 6)) {
    if (at >= 3 && pdf.substr(at - 3, 3) == "end") continue;
    std::size_t from = at + 6;
    while (from < pdf.size() && (pdf[from] == '\r' || pdf[from] == '\n')) ++from;
    const std::size_t end = pdf.find("endstream", from);
    if (end == std::string_view::npos) break;
    const std::string_view raw = pdf.substr(from, end - from);
    const auto packed = inflated(raw);
    const std::string_view content = packed ? std::string_view(*packed) : raw;
    if (content.find(" cm") != std::string_view::npos || content.find(" re") != std::string_view::npos) ContentReader(height, marks).read(content);
    at = end;
  }
  return marks;
}

}  // namespace leeward::sheets

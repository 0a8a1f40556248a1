#include "viewer/sheets/door_sheet.h"

#include <QPainter>

#include "shared/base/text.h"
#include "viewer/draw/palette.h"
#include "viewer/draw/type.h"
#include "viewer/sheets/flow.h"

namespace leeward::sheets {
namespace {

constexpr draw::Style kAddress{11.5, draw::Face::Semibold};
constexpr double kNumberWidth = 28, kLabelWidth = 62;
constexpr std::array<const char*, 7> kResults = {
    "welcomed", "declined", "asked not to return", "nobody home, note left", "no dog here", "no access", "vacant"};

QString cell(const Table& doors, const char* column, std::size_t row) {
  const Column* found = doors.find(column);
  return found != nullptr ? QString::fromStdString(found->asText(row)) : QString();
}

/// Nothing on a door sheet is certain: never "0 %" or "100 %".
QString chanceWords(double chance) {
  if (chance > 0.99) return QStringLiteral("almost surely");
  if (chance < 0.01) return QStringLiteral("hardly");
  return QStringLiteral("chance %1\u00A0%").arg(QString::number(100 * chance, 'f', 0));
}

/// Days as the rest of the sheet writes them: "1 June 2025".
QString dayCell(const Table& doors, const char* column, std::size_t row) {
  const QString text = cell(doors, column, row);
  const auto day = parseIsoDate(text.toStdString());
  return day ? QString::fromStdString(toWords(*day)) : text;
}

struct CardLine {
  QString label, words;
};

struct Card {
  QString number, address, aside;
  std::vector<CardLine> lines;
};

Card cardOf(const Table& doors, std::size_t row) {
  Card card;
  const QString order = cell(doors, "order", row);
  card.number = order.isEmpty() ? QString::number(row + 1) : order;
  card.address = cell(doors, "address", row);
  QStringList aside;
  if (const Column* minutes = doors.find("minutes"); minutes != nullptr && minutes->asReal(row)) {
    aside << QString::number(*minutes->asReal(row), 'f', 0) + QStringLiteral(" min");
  }
  if (const Column* chance = doors.find("chance_unmet"); chance != nullptr && chance->asReal(row)) {
    aside << QStringLiteral("a dog not yet met: ") + chanceWords(*chance->asReal(row));
  }
  if (!cell(doors, "block_id", row).isEmpty()) aside << QStringLiteral("block ") + cell(doors, "block_id", row);
  card.aside = aside.join(QStringLiteral(" \u00B7 "));
  const QString hazards = cell(doors, "hazard", row), permission = cell(doors, "permission", row);
  card.lines.push_back(
      {QStringLiteral("Hazards"), hazards.isEmpty() ? QStringLiteral("none on record, which does not mean none") : hazards});
  card.lines.push_back(
      {QStringLiteral("Permission"),
       permission.isEmpty() ? QStringLiteral("none on record: ask at the door, look from public ground only") : permission});
  for (const auto& [column, label] :
       {std::pair("who", "Who"), std::pair(cell(doors, "what_due", row).isEmpty() ? "due" : "what_due", "Due"), std::pair("bring", "Bring"), std::pair("because", "Why")}) {
    if (!cell(doors, column, row).isEmpty()) card.lines.push_back({QString::fromUtf8(label), dayCell(doors, column, row)});
  }
  return card;
}

double linesHeight(const Card& card, double width) {
  double height = 0;
  for (const CardLine& line : card.lines)
    height += draw::paragraphHeight(line.words, draw::kSmall, width - kNumberWidth - kLabelWidth) + 1;
  return height;
}

constexpr double kBoxesHeight = 19;
double cardHeight(const Card& card, double width) { return 20 + linesHeight(card, width) + kBoxesHeight + 22; }

void drawBoxes(QPainter& painter, QPointF at) {
  double x = 0;
  for (const char* result : kResults) {
    const QString words = QString::fromUtf8(result);
    const double wide = 8 + 4 + draw::textWidth(words, draw::kSmall) + 8;
    painter.setPen(QPen(draw::ground::kInk, 0.8));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(QRectF(at.x() + x, at.y(), 8, 8));
    draw::drawLine(painter, at + QPointF(x + 12, 7), words, draw::kSmall, draw::ground::kInk);
    x += wide;
  }
}

/// A label with a line of `room` points to write on; returns where the next may begin.
double drawField(QPainter& painter, QPointF at, const QString& label, double room) {
  draw::drawLine(painter, at, label, draw::kSmallStrong, draw::ground::kInk);
  const double from = at.x() + draw::textWidth(label, draw::kSmallStrong) + 6;
  painter.setPen(QPen(draw::ground::kRule, 0.6));
  painter.drawLine(QPointF(from, at.y() + 1), QPointF(from + room, at.y() + 1));
  return from + room + 10;
}

void drawCard(QPainter& painter, const QRectF& box, const Card& card) {
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setPen(QPen(draw::ground::kInk, 0.9));
  painter.drawLine(box.topLeft(), box.topRight());
  const double left = box.left() + kNumberWidth;
  double y = box.top() + 5;
  draw::drawLine(painter, {box.left(), y + draw::ascent(kAddress)}, card.number, kAddress, draw::kAccent);
  draw::drawLine(painter, {left, y + draw::ascent(kAddress)}, card.address, kAddress, draw::ground::kInk);
  draw::drawLine(painter, {box.right() - draw::textWidth(card.aside, draw::kFoot), y + draw::ascent(kAddress)}, card.aside,
                 draw::kFoot, draw::ground::kQuietInk);
  y += 19;
  for (const CardLine& line : card.lines) {
    draw::drawLine(painter, {left, y + draw::ascent(draw::kSmall)}, line.label, draw::kSmallStrong, draw::ground::kInk);
    y += draw::drawParagraph(painter, {left + kLabelWidth, y}, line.words, draw::kSmall, draw::ground::kInk,
                             box.width() - kNumberWidth - kLabelWidth) +
         1;
  }
  drawBoxes(painter, {box.left(), y + 5});
  double x = box.left();
  for (const auto& [words, room] : std::initializer_list<std::pair<const char*, double>>{{"Dogs seen", 34}, {"Dogs met", 34}, {"Notes", 0}}) {
    x = drawField(painter, {x, box.bottom() - 8}, QString::fromUtf8(words), room > 0 ? room : box.right() - x - draw::textWidth(QString::fromUtf8(words), draw::kSmallStrong) - 6);
  }
}

}  // namespace

Result<DoorSheetDone> writeDoorSheet(const Table& doors, const DoorSheetRequest& request, Progress& progress) {
  if (lowerAscii(request.file.extension().string()) != ".pdf") {
    return Problem{ProblemCode::InvalidArgument, "A door sheet is written as .pdf", request.file.string(),
                   "Give the file the ending .pdf"};
  }
  if (doors.find("address") == nullptr) {
    return Problem{ProblemCode::BadData, "The doors have no column \"address\"", request.file.string(), "Run the study again"};
  }
  LEEWARD_TRY(draw::checkTypeface());
  const QString crew =
      request.crew.empty() ? QStringLiteral("Door sheet") : QString::fromStdString(request.crew) + QStringLiteral(": door sheet");
  Flow flow(portrait(request.paper), QString::fromStdString(request.study) + QStringLiteral(" \u00B7 door sheet \u00B7 as of ") +
                                         QString::fromStdString(toWords(request.as_of)));
  flow.title(crew);
  QString span = QStringLiteral("%1 doors in walking order").arg(doors.rows());
  if (request.hours > 0) span += QStringLiteral(", %1 hours").arg(QString::number(request.hours, 'g', 3));
  flow.paragraph(span + QStringLiteral(". Date: ____________   Crew: ______________________________"));
  flow.bullets(
      {QStringLiteral("Go in pairs. Ask before entering; without permission look from public ground only."),
       QStringLiteral("Approach a tethered dog with care. Food is given last."),
       QStringLiteral("No figure here says that heat or cold does a dog no harm. Doses and diagnoses are for a veterinarian."),
       QStringLiteral("Leave a note when nobody is home. Bring this sheet back: it holds client data.")},
      true);
  for (std::size_t row = 0; row < doors.rows(); ++row) {
    const Card card = cardOf(doors, row);
    flow.figure(cardHeight(card, flow.width()),
                [card](QPainter& painter, const QRectF& box, bool) { drawCard(painter, box, card); });
  }
  LEEWARD_TRY(writePages(request.file, portrait(request.paper), {crew, request.as_of, 300}, flow.pages(), progress));
  return DoorSheetDone{flow.pageCount()};
}

}  // namespace leeward::sheets

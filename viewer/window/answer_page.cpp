#include "viewer/window/answer_page.h"

#include <initializer_list>
#include <string>
#include <unordered_map>
#include <utility>

#include <QApplication>
#include <QClipboard>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QVBoxLayout>

#include "shared/base/text.h"
#include "viewer/window/style.h"

namespace leeward::window {
namespace {

QPushButton* makeQuietButton(const QString& words, const char* name) {
  auto* button = makeButton(words, name);
  button->setProperty("plain", false);
  button->setProperty("quiet", true);
  button->setFont(fontFor(Text::Small));
  return button;
}

QString lines(const std::vector<std::string>& all) {
  QStringList words;
  for (const auto& one : all) words += QString::fromStdString(one);
  return words.join(QLatin1Char('\n'));
}

}  // namespace

AnswerPage::AnswerPage(Workroom& room, const QString& title, QWidget* parent)
    : QWidget(parent),
      room_(room),
      body_(new QVBoxLayout),
      finding_(makeWords(Text::Finding, "finding")),
      sure_(makeWords(Text::Small, "how_sure", true)),
      sources_(makeWords(Text::Small, "sources")),
      ask_sources_(makeQuietButton(tr("Where do these numbers come from?"), "ask_sources")),
      copy_(makeQuietButton(tr("Copy the table"), "copy")) {
  auto* page = new QVBoxLayout(this);
  page->setContentsMargins(2 * kGrid, kGrid, 2 * kGrid, kGrid);
  page->setSpacing(kGrid);
  auto* heading = makeWords(Text::Title, "title");
  heading->setText(title);
  body_->setSpacing(kGrid);
  page->addWidget(heading);
  page->addWidget(finding_);
  page->addLayout(body_, 1);
  page->addWidget(sure_);
  auto* foot = new QHBoxLayout;
  foot->addWidget(ask_sources_);
  foot->addStretch(1);
  foot->addWidget(copy_);
  page->addLayout(foot);
  page->addWidget(sources_);
  sources_->hide();
  sure_->hide();
  ask_sources_->setCheckable(true);
  copy_->setToolTip(tr("Ctrl+Shift+C: paste it into any spreadsheet"));
  connect(ask_sources_, &QPushButton::toggled, this, &AnswerPage::tellSources);
  connect(copy_, &QPushButton::clicked, this, &AnswerPage::copyTable);
}

void AnswerPage::themed(const draw::MapTheme& theme) {
  setFinding(theme.finding);
  setMethod(theme.method);
  counted_ = theme.counted;
}

QString AnswerPage::hint(std::size_t block) const {
  const auto& findings = room_.findings();
  return findings ? QString::fromStdString(findings->blocks.table.find("because")->asText(block)) : QString();
}

void AnswerPage::putFootLast() {
  QWidget* last = nullptr;
  for (QWidget* next = nextInFocusChain(); next != this; next = next->nextInFocusChain()) {
    if (isAncestorOf(next) && next != ask_sources_ && next != copy_ && (next->focusPolicy() & Qt::TabFocus) != 0) last = next;
  }
  if (last != nullptr) setTabOrder(last, ask_sources_);
  setTabOrder(ask_sources_, copy_);
}

void AnswerPage::addControl(const QString& words, QWidget* control) {
  auto* row = new QHBoxLayout;
  auto* label = new QLabel(words);
  label->setFont(fontFor(Text::Body));
  label->setBuddy(control);
  control->setFont(fontFor(Text::Body));
  control->setMinimumWidth(grown(26 * kGrid));
  control->setAccessibleName(QString(words).remove(QLatin1Char('&')));
  row->addWidget(label);
  row->addStretch(1);
  row->addWidget(control);
  body_->addLayout(row);
}

void AnswerPage::setFinding(const QString& sentence) { finding_->setText(sentence); }

void AnswerPage::setHowSure(const QString& words) {
  sure_->setText(words);
  sure_->setVisible(!words.isEmpty());
}

void AnswerPage::tellSources(bool show) {
  const auto& findings = room_.findings();
  sources_->setVisible(show && findings);
  if (!show || !findings) return;
  QStringList words;
  for (const QString& one : {counted_, method_}) {
    if (!one.isEmpty()) words += one;
  }
  words += tr("Figures are of %1, intervals at %2 %, draws from seed %3.")
               .arg(QString::fromStdString(toWords(findings->as_of)), QString::number(100 * findings->level), QString::number(findings->seed));
  if (!findings->remarks.empty()) words += lines(findings->remarks);
  words += lines(findings->methods);
  QStringList files;
  for (const auto& source : findings->sources) {
    files += QString::fromStdString(source.label + ": " + source.file + (source.year.empty() ? "" : ", " + source.year) + (source.licence.empty() ? "" : ", " + source.licence));
  }
  if (!files.isEmpty()) words += files.join(QLatin1Char('\n'));
  sources_->setText(words.join(QStringLiteral("\n\n")));
}

void AnswerPage::copyTable() {
  const Table shown = table();
  if (shown.width() == 0) return room_.say(tr("There is no table on this page to copy."));
  QStringList rows;
  QStringList heading;
  for (const auto& name : shown.names()) heading += QString::fromStdString(name);
  rows += heading.join(QLatin1Char('\t'));
  for (std::size_t row = 0; row < shown.rows(); ++row) {
    QStringList cells;
    for (const auto& column : shown.columns()) {
      QString text = QString::fromStdString(column.asText(row)).replace(QLatin1Char('\t'), QLatin1Char(' ')).replace(QLatin1Char('\n'), QLatin1Char(' '));
      // What somebody typed at a door is never run as a formula by the spreadsheet that it is pasted into.
      if (column.kind() == Column::Kind::Text && !text.isEmpty() && QStringLiteral("=+-@").contains(text.front())) text.prepend(QLatin1Char('\''));
      cells += text;
    }
    rows += cells.join(QLatin1Char('\t'));
  }
  QApplication::clipboard()->setText(rows.join(QLatin1Char('\n')) + QLatin1Char('\n'));
  room_.say(tr("%1 rows copied. They hold what the team knows: paste them only where it may be read.").arg(shown.rows()));
}

QString blockName(const study::Findings& findings, std::size_t row) {
  const QString streets = QString::fromStdString(findings.blocks.table.find("streets")->asText(row));
  return streets.isEmpty() ? AnswerPage::tr("Block %1").arg(QString::fromStdString(findings.blocks.table.find("block_id")->asText(row))) : streets;
}

std::vector<qint64> blockRows(const study::Findings& findings, const Table& table) {
  std::unordered_map<std::string, qint64> row_of;
  const Column& ids = *findings.blocks.table.find("block_id");
  for (std::size_t row = 0; row < ids.size(); ++row) row_of.emplace(ids.asText(row), static_cast<qint64>(row));
  std::vector<qint64> rows;
  const Column* wanted = table.find("block_id");
  for (std::size_t row = 0; row < table.rows(); ++row) {
    const auto found = wanted == nullptr ? row_of.end() : row_of.find(wanted->asText(row));
    rows.push_back(found == row_of.end() ? -1 : found->second);
  }
  return rows;
}

QString counted(std::int64_t n, const QString& one, const QString& many) { return QString::fromStdString(formatCount(n)) + QLatin1Char(' ') + (n == 1 ? one : many); }

QString shortDay(const std::string& iso) {
  const auto day = parseIsoDate(iso.substr(0, 10));
  const QStringList words = day ? QString::fromStdString(toWords(*day)).split(QLatin1Char(' ')) : QStringList();
  return words.size() == 3 ? words[0] + QLatin1Char(' ') + words[1].left(3) + QLatin1Char(' ') + words[2] : QString::fromStdString(iso);
}

QString cell(const Table& table, const char* column, std::size_t row, int decimals) {
  const Column* found = table.find(column);
  if (found == nullptr || found->isMissing(row)) return QStringLiteral("–");
  const auto value = found->asReal(row);
  return value ? QString::number(*value, 'f', decimals).replace(QLatin1Char('-'), QChar(0x2212)) : QString::fromStdString(found->asText(row));
}

}  // namespace leeward::window

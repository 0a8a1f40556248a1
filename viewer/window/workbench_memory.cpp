// Of the workbench: where one was, how the window looks, keys, and opening studies.
#include <QActionGroup>
#include <QApplication>
#include <QCoreApplication>
#include <QDir>
#include <QFileDialog>
#include <QMenu>
#include <QPushButton>
#include <QShortcut>
#include <QStandardPaths>
#include <algorithm>
#include <array>

#include "viewer/study/sample_town.h"
#include "viewer/window/answer_page.h"
#include "viewer/window/icons.h"
#include "viewer/window/map_canvas.h"
#include "viewer/window/map_frame.h"
#include "viewer/window/pages.h"
#include "viewer/window/start_page.h"
#include "viewer/window/workbench.h"

namespace leeward::window {
namespace {

constexpr std::array<int, 4> kTextSizes = {100, 125, 150, 200};

/// Beside the program: in its build tree, or where it was installed.
std::filesystem::path townFolder() {
  const QDir program(QCoreApplication::applicationDirPath());
  for (const char* way : {"../../sample-data/town", "../share/leeward/town", "../sample-data/town"}) {
    if (program.exists(QLatin1String(way))) return std::filesystem::path(QDir::cleanPath(program.filePath(QLatin1String(way))).toStdString());
  }
  return "sample-data/town";
}

void focusFirstOf(QWidget* page) {
  for (QWidget* next = page->nextInFocusChain(); next != page; next = next->nextInFocusChain()) {
    if (page->isAncestorOf(next) && next->isVisible() && next->isEnabled() && (next->focusPolicy() & Qt::TabFocus) != 0) return next->setFocus(Qt::ShortcutFocusReason);
  }
}

}  // namespace

QWidget* Workbench::buildLookButton() {
  auto* button = new QPushButton(iconOf("look", draw::ground::kInk), tr("Light and text"));
  button->setObjectName("question");
  button->setProperty("key", QStringLiteral("look"));
  button->setFont(fontFor(Text::Body));
  button->setIconSize({grown(18), grown(18)});
  button->setAccessibleName(tr("Light, dark, strong edges, size of text"));
  auto* menu = new QMenu(button);
  menu->setFont(fontFor(Text::Body));
  const auto offer = [this, menu](const QString& words, Look wanted) {
    QAction* action = menu->addAction(words, this, [this, wanted] { QMetaObject::invokeMethod(this, [this, wanted] { wear(wanted); }, Qt::QueuedConnection); });
    action->setCheckable(true);
    action->setChecked(wanted == look());
  };
  Look wanted = look();
  for (const auto& [words, shade] : {std::pair(tr("&Light"), draw::Shade::Light), std::pair(tr("&Dark"), draw::Shade::Dark), std::pair(tr("&Strong edges"), draw::Shade::HighContrast)}) {
    wanted.shade = shade;
    offer(words, wanted);
  }
  menu->addSeparator();
  for (const int percent : kTextSizes) {
    wanted = look();
    wanted.text_percent = percent;
    offer(tr("Text at %1 %").arg(percent), wanted);
  }
  connect(button, &QPushButton::clicked, this, [menu, button] { menu->popup(button->mapToGlobal(QPoint(0, button->height()))); });
  return button;
}

void Workbench::addShortcuts() {
  const auto key = [this](const QKeySequence& keys, auto act) { connect(new QShortcut(keys, this), &QShortcut::activated, this, act); };
  for (int i = 0; i < static_cast<int>(pageKinds().size()); ++i) {
    key(QKeySequence(QStringLiteral("Ctrl+%1").arg(i + 1)), [this, i] {
      if (hasStudy()) showPage(i);
    });
  }
  key(QKeySequence::Open, [this] { askForStudy(); });
  key(QKeySequence::Undo, [this] {
    const QString words = room_.undo().undoText();
    room_.undo().undo();
    room_.say(words.isEmpty() ? tr("There is nothing to take back.") : tr("Taken back: %1.").arg(words));
  });
  key(QKeySequence::Redo, [this] { room_.undo().redo(); });
  key(QKeySequence(QStringLiteral("Ctrl+Shift+C")), [this] {
    if (hasStudy()) answers_[answer_]->copyTable();
  });
  key(QKeySequence(QStringLiteral("F6")), [this] {  // between the map and the page
    if (map_->hasFocus()) focusFirstOf(answers_[answer_]);
    else map_->setFocus(Qt::ShortcutFocusReason);
  });
  key(QKeySequence(QStringLiteral("F7")), [this] { frame_->toggleLegend(); });
  const auto resized = [this](int step) {
    Look wanted = look();
    const auto at = std::ranges::find(kTextSizes, wanted.text_percent) - kTextSizes.begin();
    wanted.text_percent = kTextSizes[static_cast<std::size_t>(std::clamp<std::ptrdiff_t>(at + step, 0, static_cast<std::ptrdiff_t>(kTextSizes.size()) - 1))];
    wear(wanted);
  };
  key(QKeySequence::ZoomIn, [resized] { resized(1); });
  key(QKeySequence::ZoomOut, [resized] { resized(-1); });
}

void Workbench::wear(Look wanted) {
  if (wanted == look()) return;
  keepMemory();
  was_ = remember();
  applyStyle(*static_cast<QApplication*>(QApplication::instance()), wanted);
  build();
  if (hasStudy()) goWhereOneWas();
  keepMemory();
}

void Workbench::keepMemory() {
  Memory now = remember();
  now.look = look();
  if (hasStudy()) {
    now.folder = room_.folder();
    now.question = question();
    now.block_id = room_.block() ? room_.findings()->blocks.table.find("block_id")->asText(*room_.block()) : "";
    now.centre = map_->view().center;
    now.metres_per_pixel = map_->view().metres_per_unit;
  }
  keep(now);
}

void Workbench::reopen() {
  const Memory memory = remember();
  std::error_code error;
  if (memory.folder.empty() || !std::filesystem::exists(memory.folder / "study.toml", error)) return;
  was_ = memory;
  openStudy(memory.folder);
}

void Workbench::goWhereOneWas() {
  if (!was_) return;
  const Memory memory = *std::exchange(was_, std::nullopt);
  if (memory.folder != room_.folder()) return;
  chooseQuestion(memory.question);
  const Column& ids = *room_.findings()->blocks.table.find("block_id");
  for (std::size_t row = 0; !memory.block_id.empty() && row < ids.size(); ++row) {
    if (ids.asText(row) == memory.block_id) room_.selectBlock(static_cast<qint64>(row));
  }
  if (memory.centre) map_->goTo(*memory.centre, memory.metres_per_pixel);
}

void Workbench::askForStudy() {
  const QString folder = QFileDialog::getExistingDirectory(this, tr("The folder of a study (study.toml lies in it)"));
  if (!folder.isEmpty()) openStudy(folder.toStdString());
}

void Workbench::makeSample() {
  const std::filesystem::path folder =
      (QStandardPaths::writableLocation(QStandardPaths::DocumentsLocation) + QStringLiteral("/Leeward sample town")).toStdString();
  room_.jobs().start<bool>(
      this, tr("Making a study of the sample town"),
      [folder, town = townFolder()](Progress& progress) -> Result<bool> {
        LEEWARD_TRY(study::makeSampleStudy(town, folder, progress));
        return true;
      },
      [this, folder](bool) { openStudy(folder); });
}

}  // namespace leeward::window

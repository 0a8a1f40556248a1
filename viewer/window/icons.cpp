#include "viewer/window/icons.h"

#include <QFile>
#include <QPainter>
#include <QPixmap>
#include <QSvgRenderer>

// Resources of a static library must be named once, outside of all namespaces.
static void useIcons() { Q_INIT_RESOURCE(icons); }

namespace leeward::window {

QIcon iconOf(const char* name, const QColor& ink) {
  useIcons();
  QFile file(QStringLiteral(":/leeward/icons/%1.svg").arg(QLatin1String(name)));
  if (!file.open(QIODevice::ReadOnly)) return {};
  QSvgRenderer drawing(file.readAll().replace("#000", ink.name().toLatin1()));
  QIcon icon;
  for (const int size : {16, 20, 24, 32, 48}) {
    QPixmap pixmap(size, size);
    pixmap.fill(Qt::transparent);
    QPainter painter(&pixmap);
    drawing.render(&painter);
    painter.end();
    icon.addPixmap(pixmap);
  }
  return icon;
}

}  // namespace leeward::window
